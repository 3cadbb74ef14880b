"""Backup and restore of the whole shop in one verified file."""
