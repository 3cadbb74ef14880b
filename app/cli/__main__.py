"""Lets `python -m app.cli` do what the installed command does."""

from app.cli.entry import main

main(prog_name="tackcloth")
