"""The command `tackcloth`: one file per group of commands."""

from app.cli.entry import main

__all__ = ["main"]
