"""Pages for everything that goes wrong, in plain words and with a way on."""

import errno
import logging
import secrets

from flask import Flask, Response, g, render_template
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from app.basics.errors import NotFound, RuleError
from app.database.unit_of_work import LedgerBusy, LedgerClash, LedgerTrouble
from app.web.problems import problem, wants_problem

log = logging.getLogger("tackcloth")

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT})
WORDS: dict[int, tuple[str, str]] = {
    400: ("That request makes no sense", "Nothing was saved. Go back, load the page anew and try again."),
    403: ("That did not come from this shop's own pages", "Nothing was saved."),
    404: ("There is nothing here", "The address may be mistyped, or the piece may have another tag number."),
    405: ("That page cannot be used this way", "Nothing was saved."),
    409: ("That no longer fits what is there", "Nothing was saved."),
    413: (
        "That is too big to take in",
        "Nothing was saved. A photo may be up to 25 MB; send fewer at a time or choose a smaller size.",
    ),
    415: ("That is not what this address takes", "Nothing was saved."),
    414: ("That address is too long", "Nothing was saved."),
    429: ("Too many tries", "Wait a little before the next one."),
    500: (
        "Something broke on our side",
        "What you were saving was saved whole or not at all. Look before you repeat it.",
    ),
    503: ("The ledger is busy", "Nothing was saved. Try again in a moment."),
    507: ("The disk is full", "Nothing was saved. Make room on the disk and try again."),
}


def error_page(status: int, detail: str | None = None, reference: str | None = None) -> tuple[str | Response, int]:
    """The page for `status`, or the problem for a program; `detail` replaces the usual second sentence."""
    title, usual = WORDS.get(status, WORDS[400 if status < 500 else 500])  # noqa: PLR2004 - HTTP's own boundary
    if wants_problem():
        return problem(status, title, f"{detail or usual} {reference or ''}".rstrip()), status
    g.is_in_trouble = True
    page = render_template("web/error.html", heading=title, detail=detail or usual, reference=reference)
    return page, status


def add_error_pages(app: Flask) -> None:
    """Answer every error with a page of ours."""

    def on_csrf(_trouble: CSRFError) -> ResponseReturnValue:
        return error_page(
            400,
            "The page was open too long or cookies are off. Nothing was saved: go back, load it anew and save.",
        )

    def on_http(trouble: HTTPException) -> ResponseReturnValue:
        page, status = error_page(trouble.code or 500)
        allowed = trouble.valid_methods if isinstance(trouble, MethodNotAllowed) else None
        return page, status, {"Allow": ", ".join(sorted(allowed))} if allowed else {}

    def on_not_found(trouble: NotFound) -> ResponseReturnValue:
        return error_page(404, trouble.message)

    def on_rule(trouble: RuleError) -> ResponseReturnValue:
        return error_page(409, trouble.message)

    def on_ledger(trouble: LedgerTrouble) -> ResponseReturnValue:
        return error_page(_ledger_status(trouble), trouble.message)

    def on_system(trouble: OSError) -> ResponseReturnValue:
        return error_page(507) if trouble.errno in NO_ROOM else on_anything(trouble)

    def on_anything(trouble: Exception) -> ResponseReturnValue:
        reference = secrets.token_hex(4)
        log.error("unexpected trouble %s", reference, exc_info=trouble)
        try:
            return error_page(500, reference=reference)
        except Exception:  # the shell itself may be what broke, and a person still waits for words
            log.exception("the page for trouble %s could not be shown", reference)
            title, detail = WORDS[500]
            return Response(f"{title}. {detail} ({reference})\n", status=500, content_type="text/plain; charset=utf-8")

    app.register_error_handler(CSRFError, on_csrf)
    app.register_error_handler(HTTPException, on_http)
    app.register_error_handler(NotFound, on_not_found)
    app.register_error_handler(RuleError, on_rule)
    app.register_error_handler(LedgerTrouble, on_ledger)
    app.register_error_handler(OSError, on_system)
    app.register_error_handler(Exception, on_anything)


def _ledger_status(trouble: LedgerTrouble) -> int:
    """A program that met another save cannot look at what is there now: it is told to send the same once more."""
    return LedgerBusy.status if wants_problem() and isinstance(trouble, LedgerClash) else trouble.status
