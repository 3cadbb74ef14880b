"""Plain functions that build rows for tests, through the real actions."""
