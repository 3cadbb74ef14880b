"""The command itself: its name, its one option, and how trouble is told."""

import sqlite3
from typing import IO, Any

import click
from sqlalchemy.exc import SQLAlchemyError

from app.basics.errors import TackclothError
from app.cli.ground import Shopfront
from app.cli.keeping import backup, restore
from app.cli.locking import passphrase, reset_tries
from app.cli.proving import check
from app.cli.serve import open_shop
from app.cli.sharing import share
from app.cli.trying import demo
from app.safekeeping.actions import program_version


class Refusal(click.ClickException):
    """Something that was not done, told in one sentence; the command ends with 2."""

    exit_code = 2

    def show(self, file: IO[Any] | None = None) -> None:
        """Write the sentence to the error stream."""
        click.echo(self.message, file=file, err=True)


class PlainGroup(click.Group):
    """A group of commands whose troubles come as plain sentences, never as a trace of the program."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command named."""
        try:
            return super().invoke(ctx)
        except TackclothError as refusal:
            raise Refusal(refusal.message) from refusal
        except click.Abort as stop:
            raise Refusal("Stopped. Nothing was changed.") from stop
        except (SQLAlchemyError, sqlite3.Error) as trouble:
            raise Refusal(f"The ledger cannot be read or written: {_first_line(trouble)}") from trouble
        except OSError as trouble:
            raise Refusal(f"The system refused: {_without_number(trouble)}") from trouble


def _first_line(trouble: Exception) -> str:
    said = getattr(trouble, "orig", None) or trouble
    return (str(said).splitlines() or [type(trouble).__name__])[0]


def _without_number(trouble: OSError) -> str:
    said = trouble.strerror or _first_line(trouble)
    return f"{said}: {trouble.filename}" if trouble.filename else said


@click.group(cls=PlainGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--data", metavar="DIR", help="The folder that holds the shop, if not the usual one.")
@click.version_option(program_version(), message="Tackcloth %(version)s")
@click.pass_context
def main(ctx: click.Context, data: str | None) -> None:
    """A ledger for one person who buys worn furniture, refinishes it and sells it."""
    ctx.obj = Shopfront(data)


for command in (open_shop, share, demo, backup, restore, check, passphrase, reset_tries):
    main.add_command(command)
