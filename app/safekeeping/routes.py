"""The page about backups, and the backup itself as a download."""

import logging
from collections.abc import Iterator
from pathlib import Path

from flask import Blueprint, Response, current_app, render_template
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.settings import Settings
from app.safekeeping import actions
from app.safekeeping.queries import BackupSheet, keep_sheet
from app.web.frame import ledger

bp = Blueprint("safekeeping", __name__, template_folder="templates")
log = logging.getLogger("tackcloth")

CHUNK = 256 * 1024


@bp.get("/settings/safekeeping")
def keep() -> str:
    with ledger().reading() as session:
        sheet = keep_sheet(session, _settings(), clock.now())
    return render_template("safekeeping/keep.html", sheet=sheet)


@bp.post("/settings/safekeeping/backup")
def backup() -> ResponseReturnValue:
    settings = _settings()
    sheet = actions.back_up(settings, actions.drafts_folder(settings), clock.now())
    response = Response(_sent(settings, sheet), content_type="application/zip")
    response.call_on_close(lambda: sheet.path.unlink(missing_ok=True))
    response.content_length = sheet.size
    response.headers["Content-Disposition"] = f'attachment; filename="{sheet.path.name}"'
    response.headers["Cache-Control"] = "no-store"
    return response


def _sent(settings: Settings, sheet: BackupSheet) -> Iterator[bytes]:
    """The file piece by piece; it counts as a backup made only when the last piece has gone out."""
    yield from _pieces(sheet.path)
    actions.note_backup(settings, sheet, "downloaded by a browser")
    log.info("a backup was downloaded")


def _pieces(path: Path) -> Iterator[bytes]:
    with path.open("rb") as handle:
        while chunk := handle.read(CHUNK):
            yield chunk


def _settings() -> Settings:
    found: Settings = current_app.extensions["tackcloth_settings"]
    return found
