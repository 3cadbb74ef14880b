"""Forms of the books, each in the module of its own subject."""
