"""The door: who is let through, who is led to the sign-in, and the sign-in itself."""

import logging
from collections.abc import Callable
from datetime import datetime

from flask import Response, flash, g, redirect, render_template, request, url_for
from flask import session as cookie
from flask.typing import ResponseReturnValue

from app.access import actions, queries, rules
from app.access.forms import SignInForm
from app.access.routes.blueprint import bp
from app.basics import clock
from app.basics.errors import RuleError
from app.database.unit_of_work import LedgerTrouble, Session
from app.web.forms import Form
from app.web.frame import ledger
from app.web.problems import problem, wants_problem
from app.web.saving import SEE_OTHER, UNPROCESSABLE, local_path

log = logging.getLogger("tackcloth")

OPEN_ENDPOINTS = frozenset(
    {
        "assets.serve",
        "access.sign_in",
        "access.pair",
        "access.certificate",
        "access.certificate_file",
        "bench.feed",
        "pocket.manifest",
        "pocket.worker",
    }
)
"""All that can be had from a locked shop without signing in; the guide says why, page by page."""
BAD_REQUEST = 400
UNAUTHORIZED = 401
FORBIDDEN = 403
TOO_MANY = 429
TOKEN = "browser"  # noqa: S105 - the name of the token's place in the cookie
FORM_TOKEN = "csrf_token"  # noqa: S105 - the name CSRFProtect keeps its value under
WRONG = "That is not the passphrase."


def refuse_strange_addresses() -> ResponseReturnValue | None:
    """Refuse a request to a name that is not this shop's, before anything looks at it.

    The answer is plain text: no page can be drawn for a name under which no address is known.
    """
    if getattr(request.routing_exception, "code", None) != BAD_REQUEST:
        return None
    words = "This shop does not answer to that address. Open the one it showed when it was started.\n"
    return Response(words, BAD_REQUEST, content_type="text/plain; charset=utf-8")


def require_sign_in() -> ResponseReturnValue | None:
    """Let a request through from this computer while there is no passphrase, else from signed-in browsers."""
    now = clock.now()
    with ledger().reading() as session:
        is_locked = queries.passphrase_is_set(session)
        browser = queries.browser_with_token(session, cookie.get(TOKEN), now) if is_locked else None
    if not is_locked:
        return None if rules.is_loopback(request.remote_addr) else _only_here()
    if browser is not None:
        g.browser_id = browser.id
        _note_seen(browser, now)
        return None
    g.is_shut_out = True
    return None if request.endpoint in OPEN_ENDPOINTS else _lead_to_sign_in()


def _only_here() -> ResponseReturnValue:
    g.is_shut_out = True
    if wants_problem():
        return problem(FORBIDDEN, "Only from this computer", "The shop has no passphrase yet.")
    return render_template("access/only_here.html"), FORBIDDEN


def _note_seen(browser: queries.BrowserRow, now: datetime) -> None:
    if not browser.signed_in.is_due_to_be_noted(now):
        return
    try:
        with ledger().writing() as session:
            actions.note_seen(session, browser.id, now=now)
    except LedgerTrouble:
        log.info("a browser's last sighting was not written down: the ledger was busy")


def _lead_to_sign_in() -> ResponseReturnValue:
    if wants_problem():
        return problem(UNAUTHORIZED, "Not signed in", "Sign in, then it goes on.")
    if request.method in {"GET", "HEAD"}:
        query = request.query_string.decode("utf-8", "replace")
        onward = f"{request.path}?{query}" if query else request.path
        return redirect(url_for("access.sign_in", next=None if onward == "/" else onward), SEE_OTHER)
    flash("This browser is not signed in, so that was not saved. Sign in, then look before you save it again.")
    return redirect(url_for("access.sign_in"), SEE_OTHER)


@bp.route("/sign-in", methods=["GET", "POST"])
def sign_in() -> ResponseReturnValue:
    onward = local_path(request.args.get("next"), "/")
    if not _is_shut_out():
        return redirect(onward, SEE_OTHER)
    form = SignInForm.from_request()
    if request.method != "POST":
        return _sign_in_page(form)
    if not form.validate():
        return _sign_in_page(form), UNPROCESSABLE
    try:
        judge(str(form.passphrase.data), "passphrase")
    except RuleError as refusal:
        return refused(form, refusal, _sign_in_page)
    with ledger().writing() as session:
        let_in(sign_in_here(session, str(form["name"].data)), was_here=was_here(session))
    return redirect(onward, SEE_OTHER)


def _is_shut_out() -> bool:
    return bool(g.get("is_shut_out", False))


def _sign_in_page(form: Form) -> str:
    onward = local_path(request.args.get("next"), "/")
    here = url_for("access.sign_in", next=None if onward == "/" else onward)
    return render_template("access/sign_in.html", form=form, here=here)


def judge(typed: str, field: str) -> None:
    """Judge a passphrase; a wrong one costs a try. Raises TooManyTries or WrongPassphrase."""
    address = rules.tries_from(request.remote_addr)
    with ledger().writing() as session:
        stored = actions.count_try(session, address, now=clock.now())
    if not actions.is_match(stored, typed):
        log.warning("wrong passphrase from %s", address)
        raise rules.WrongPassphrase(WRONG, field)
    with ledger().writing() as session:
        actions.forget_tries(session, address)
        actions.harden_hash(session, stored, typed)


def refused(form: Form, refusal: RuleError, page: Callable[[Form], str]) -> ResponseReturnValue:
    """The form again with what was refused; a wait is told to programs, too."""
    form.refuse(refusal)
    if isinstance(refusal, rules.TooManyTries):
        return page(form), TOO_MANY, {"Retry-After": str(refusal.seconds)}
    return page(form), UNPROCESSABLE


def sign_in_here(session: Session, name: str = "") -> str:
    """Sign this browser in under a name, its kind where it has none; return its token."""
    return actions.sign_in(session, name=name or guessed_name(), now=clock.now())


def guessed_name() -> str:
    """A plain name for the browser that asks."""
    return rules.guess_name(request.headers.get("User-Agent", ""))


def was_here(session: Session) -> bool:
    """Whether this browser was ever signed in here, even if it no longer is."""
    return queries.was_signed_in(session, cookie.get(TOKEN))


def let_in(token: str, *, was_here: bool) -> None:
    """Give this browser its token in a new cookie, so that one seen before the sign-in is worth nothing."""
    # A page left open when its browser was signed out can still be saved after signing in again.
    kept = cookie.get(FORM_TOKEN) if was_here else None
    cookie.clear()
    cookie.permanent = True
    cookie[TOKEN] = token
    if kept is not None:
        cookie[FORM_TOKEN] = kept
    log.info("signed in from %s", rules.tries_from(request.remote_addr))


@bp.post("/sign-out")
def sign_out() -> ResponseReturnValue:
    if g.get("browser_id"):
        with ledger().writing() as session:
            actions.end_browser(session, g.browser_id, now=clock.now())
        cookie.clear()
        flash("You are signed out.")
    return redirect(url_for("access.sign_in"), SEE_OTHER)
