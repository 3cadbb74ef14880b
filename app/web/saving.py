"""The one way a page saves: validate, act once in one transaction, then send the browser on."""

import hashlib
from collections.abc import Callable
from typing import TypeVar
from urllib.parse import urlsplit

from flask import abort, flash, redirect, request
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import RuleError, StaleEdit
from app.database.once import TOKEN_LENGTH, earlier_submission, remember_submission
from app.database.unit_of_work import LedgerTrouble, Session
from app.web.forms import Form, VersionedForm
from app.web.frame import ledger

T = TypeVar("T")

UNPROCESSABLE = 422
CONFLICT = 409
SEE_OTHER = 303
NOT_COUNTED = frozenset({"csrf_token", "submit_token"})


class AlreadySaved(Exception):
    """This very form was saved before; `location` shows the result, `is_same` whether nothing was changed since."""

    def __init__(self, location: str, *, is_same: bool) -> None:
        super().__init__(location)
        self.location = location
        self.is_same = is_same


def save(
    form: Form,
    act: Callable[[Session], T],
    *,
    to: Callable[[T], str],
    again: Callable[[], str],
    done: Callable[[T], str] | str = "Saved.",
) -> ResponseReturnValue:
    """Save a posted form once.

    `act` does the work in one transaction and returns what `to` needs to name the next page; `again` renders
    the form page with everything typed kept; `done` is the sentence shown on the next page. A repeat of the
    same post leads to the first one's result; the same form with other content is asked about, not saved.
    """
    if not form.validate():
        return again(), UNPROCESSABLE
    try:
        result, location = _act_once(form, act, to)
    except AlreadySaved as before:
        return _answer_repeat(form, before, again)
    except StaleEdit as clash:
        return _show_clash(form, clash, again)
    except RuleError as refusal:
        form.refuse(refusal)
        return again(), UNPROCESSABLE
    except LedgerTrouble as trouble:
        form.form_errors.append(trouble.message)
        return again(), trouble.status
    flash(done(result) if callable(done) else done)
    return redirect(location, SEE_OTHER)


def answer_repeat_at_once() -> ResponseReturnValue | None:
    """Lead an exact repeat of a saved form to its result before the page itself looks at it.

    The second half of a double click would otherwise meet the changed ledger ("this piece is sold already")
    instead of the good news that it was saved.
    """
    token = request.form.get("submit_token", "")[:TOKEN_LENGTH] if request.method == "POST" else ""
    if not token:
        return None
    with ledger().reading() as session:
        before = earlier_submission(session, token)
    if before is None or before.fingerprint != _fingerprint():
        return None
    return _lead_to_result(before.location)


def _act_once(form: Form, act: Callable[[Session], T], to: Callable[[T], str]) -> tuple[T, str]:
    token = str(form.submit_token.data or "")[:TOKEN_LENGTH]
    fingerprint = _fingerprint()
    with ledger().writing() as session:
        before = earlier_submission(session, token) if token else None
        if before is not None:
            raise AlreadySaved(before.location, is_same=before.fingerprint == fingerprint)
        result = act(session)
        session.flush()
        location = to(result)
        if token:
            remember_submission(session, token=token, fingerprint=fingerprint, location=location, now=clock.now())
    return result, location


def _answer_repeat(form: Form, before: AlreadySaved, again: Callable[[], str]) -> ResponseReturnValue:
    if before.is_same:
        return _lead_to_result(before.location)
    form.renew_token()
    form.form_errors.append(
        "This form was saved before, and it says something else now. Nothing new has been saved yet:"
        " save again if you want this as another entry."
    )
    return again(), CONFLICT


def _lead_to_result(location: str) -> ResponseReturnValue:
    flash("That was saved already; nothing was saved twice.")
    return redirect(location, SEE_OTHER)


def _show_clash(form: Form, clash: StaleEdit, again: Callable[[], str]) -> ResponseReturnValue:
    form.form_errors.append(clash.message)
    if isinstance(form, VersionedForm):
        form.clash = clash
        if clash.version is not None:
            # Saving once more is then a choice made with both versions in sight.
            form.version.data = str(clash.version)
            form.version.raw_data = None
    return again(), CONFLICT


def _fingerprint() -> str:
    """A hash of what was posted, so that a repeat and a changed form are told apart."""
    digest = hashlib.sha256(request.path.encode())
    for name, values in sorted(request.form.lists()):
        if name not in NOT_COUNTED:
            digest.update(repr((name, values)).encode())
    for name, upload in sorted(request.files.items(multi=True), key=lambda item: (item[0], item[1].filename or "")):
        upload.stream.seek(0)
        digest.update(repr((name, upload.filename)).encode())
        digest.update(hashlib.file_digest(upload.stream, "sha256").digest())  # type: ignore[arg-type]
        upload.stream.seek(0)
    return digest.hexdigest()


def local_path(wanted: str | None, otherwise: str) -> str:
    """A path inside this shop to go on to; anything that could lead elsewhere becomes `otherwise`."""
    if not wanted or not wanted.startswith("/") or wanted.startswith(("//", "/\\")) or "\\" in wanted:
        return otherwise
    parts = urlsplit(wanted)
    return otherwise if parts.scheme or parts.netloc else wanted


def found(thing: T | None) -> T:
    """The thing, or the page that says it is not there."""
    if thing is None:
        abort(404)
    return thing
