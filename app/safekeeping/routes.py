"""The page about backups: make one, download it, and the word on Today when none was made for long."""

import logging

from flask import Blueprint, abort, current_app, flash, jsonify, redirect, render_template, send_file, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.settings import Settings
from app.safekeeping import actions
from app.safekeeping.queries import backups_dir, backups_here, keep_sheet, last_backup
from app.safekeeping.rules import overdue_words
from app.web.filters import instant
from app.web.frame import ledger
from app.web.saving import SEE_OTHER

bp = Blueprint("safekeeping", __name__, template_folder="templates")
log = logging.getLogger("tackcloth")


@bp.get("/settings/safekeeping")
def keep() -> str:
    with ledger().reading() as session:
        sheet = keep_sheet(session, _settings(), clock.now())
    return render_template("safekeeping/keep.html", sheet=sheet)


@bp.get("/settings/safekeeping/latest")
def latest() -> ResponseReturnValue:
    last = last_backup(_settings())
    answer = jsonify(backed_up_at=last.made_at.isoformat() if last else None)
    answer.headers["Cache-Control"] = "no-store"
    return answer


@bp.post("/settings/safekeeping/backup")
def backup() -> ResponseReturnValue:
    sheet = actions.back_up_here(_settings(), clock.now())
    log.info("a backup was made")
    flash(f"Backup made at {instant(sheet.made_at)} ({sheet.size_text}). Download it and keep it elsewhere.")
    return redirect(url_for("safekeeping.keep", _anchor="here"), SEE_OTHER)


@bp.get("/settings/safekeeping/backups/<name>")
def download(name: str) -> ResponseReturnValue:
    if name not in {row.name for row in backups_here(_settings())}:
        abort(404)
    path = backups_dir(_settings()).absolute() / name
    response = send_file(path, mimetype="application/zip", as_attachment=True, download_name=name, conditional=False)
    response.headers["Cache-Control"] = "no-store"
    return response


@bp.app_template_global()
def backup_overdue() -> str | None:
    """The reminder that no backup was made for long, or None; a ledger in another database has its own tools."""
    if _settings().database_url:
        return None
    last = last_backup(_settings())
    return overdue_words(last.made_at if last else None, clock.now())


def _settings() -> Settings:
    found: Settings = current_app.extensions["tackcloth_settings"]
    return found
