"""Photos, checked, turned upright and stored by the hash of their content."""
