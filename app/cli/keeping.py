"""`backup` and `restore`."""

from datetime import datetime
from pathlib import Path

import click

from app.basics import clock
from app.cli.ground import Shopfront, path_in_words, require_shop
from app.safekeeping import actions
from app.safekeeping.queries import BackupSheet


@click.command(short_help="Back the whole shop up into one file.")
@click.argument("target", metavar="[FILE|DIR]", type=click.Path(path_type=Path), default=Path())
@click.pass_obj
def backup(front: Shopfront, target: Path) -> None:
    """Back the whole shop up into one file, here or where you say; the shop may stay open."""
    settings = front.settings()
    require_shop(settings)
    sheet = actions.back_up(settings, target.expanduser(), clock.now())
    actions.note_backup(settings, sheet, str(sheet.path))
    click.echo(f"Backed up to {path_in_words(sheet.path)}: {_in_words(sheet)}, {sheet.size_text}.")
    if sheet.missing_photos:
        click.echo(
            f"{sheet.missing_photos} of the photos the ledger shows could not be backed up: their files are gone or"
            " were changed. An earlier backup may still hold them.",
            err=True,
        )
    click.echo("It was read through and is whole. Keep it on another disk than this one.")


@click.command(short_help="Put the shop from a backup back.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Do not ask before the shop is replaced.")
@click.pass_obj
def restore(front: Shopfront, *, file: Path, yes: bool) -> None:
    """Put the shop from a backup in the place of the present one, which is kept."""
    settings = front.settings()
    sheet = actions.look_into(file.expanduser())
    click.echo(f"This backup was made on {_local(sheet.made_at)} and holds {_in_words(sheet)}.")
    if not yes:
        click.confirm(f"Put it in the place of the shop in {path_in_words(settings.data_dir)}?", abort=True)
    kept = actions.restore(settings, file.expanduser(), clock.now())
    click.echo("The shop is back as it was then. Every browser has to sign in again.")
    if kept is not None:
        click.echo(f"What stood there before is kept in {path_in_words(kept)}.")


def _in_words(sheet: BackupSheet) -> str:
    pieces = f"{sheet.pieces:,} {'piece' if sheet.pieces == 1 else 'pieces'}"
    return f"{pieces} and {sheet.photos:,} {'photo' if sheet.photos == 1 else 'photos'}"


def _local(instant: datetime) -> str:
    return f"{instant.astimezone():%d %B %Y at %H:%M}"
