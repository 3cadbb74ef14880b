"""What the books write down: each verb in the module of its own subject."""
