"""Checks against sources outside the project, one file for each source."""
