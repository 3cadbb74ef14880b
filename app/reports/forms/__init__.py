"""Forms of the books."""
