"""Pages for signing in and out, the passphrase, and the browsers that may open the shop."""

import logging
from typing import Any

from flask import Blueprint, Response, flash, g, redirect, render_template, request, url_for
from flask import session as cookie
from flask.typing import ResponseReturnValue

from app.access import actions, queries, rules
from app.access.forms import FirstPassphraseForm, NewPassphraseForm, SignInForm
from app.basics import clock
from app.basics.errors import RuleError
from app.database.once import earlier_submission, remember_submission
from app.database.unit_of_work import LedgerTrouble, Session
from app.web.forms import Form
from app.web.frame import frame, ledger
from app.web.saving import SEE_OTHER, UNPROCESSABLE, local_path

bp = Blueprint("access", __name__, template_folder="templates")
log = logging.getLogger("tackcloth")

# All that can be had from a locked shop without signing in.
OPEN_ENDPOINTS = frozenset({"assets.serve", "access.sign_in"})
BAD_REQUEST = 400
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
    return render_template("access/only_here.html"), FORBIDDEN


def _note_seen(browser: queries.BrowserRow, now: Any) -> None:
    if not browser.signed_in.is_due_to_be_noted(now):
        return
    try:
        with ledger().writing() as session:
            actions.note_seen(session, browser.id, now=now)
    except LedgerTrouble:
        log.info("a browser's last sighting was not written down: the ledger was busy")


def _lead_to_sign_in() -> ResponseReturnValue:
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
    if request.method == "GET":
        return _sign_in_page(form)
    if not form.validate():
        return _sign_in_page(form), UNPROCESSABLE
    try:
        _judge(str(form.passphrase.data), "passphrase")
    except RuleError as refusal:
        return _refused(form, refusal, _sign_in_page)
    with ledger().writing() as session:
        _let_in(session, str(form["name"].data))
    return redirect(onward, SEE_OTHER)


def _is_shut_out() -> bool:
    return bool(g.get("is_shut_out", False))


def _sign_in_page(form: Form) -> str:
    onward = local_path(request.args.get("next"), "/")
    here = url_for("access.sign_in", next=None if onward == "/" else onward)
    return render_template("access/sign_in.html", form=form, here=here)


def _judge(typed: str, field: str) -> None:
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


def _refused(form: Form, refusal: RuleError, page: Any) -> ResponseReturnValue:
    form.refuse(refusal)
    if isinstance(refusal, rules.TooManyTries):
        return page(form), TOO_MANY, {"Retry-After": str(refusal.seconds)}
    return page(form), UNPROCESSABLE


def _let_in(session: Session, name: str = "") -> None:
    """Give this browser a new token in a new cookie, so that one seen before the sign-in is worth nothing."""
    name = name or rules.guess_name(request.headers.get("User-Agent", ""))
    token = actions.sign_in(session, name=name, now=clock.now())
    # A page left open when its browser was signed out can still be saved after signing in again.
    kept = cookie.get(FORM_TOKEN) if queries.was_signed_in(session, cookie.get(TOKEN)) else None
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


@bp.get("/settings/browsers")
def browsers() -> ResponseReturnValue:
    with ledger().reading() as session:
        is_locked = queries.passphrase_is_set(session)
        rows = queries.open_browsers(session, clock.now())
    return render_template("access/browsers.html", is_locked=is_locked, rows=rows, here_id=g.get("browser_id"))


@bp.post("/settings/browsers/<int:browser_id>/end")
def end_browser(browser_id: int) -> ResponseReturnValue:
    with ledger().writing() as session:
        name = actions.end_browser(session, browser_id, now=clock.now())
    flash(f"Signed out: {name}.")
    return redirect(url_for("access.browsers"), SEE_OTHER)


@bp.post("/settings/browsers/end-others")
def end_others() -> ResponseReturnValue:
    with ledger().writing() as session:
        count = actions.end_other_browsers(session, g.get("browser_id") or 0, now=clock.now())
    flash(f"Signed out: {count} {'other browser' if count == 1 else 'other browsers'}.")
    return redirect(url_for("access.browsers"), SEE_OTHER)


@bp.route("/settings/passphrase", methods=["GET", "POST"])
def passphrase() -> ResponseReturnValue:
    with ledger().reading() as session:
        is_locked = queries.passphrase_is_set(session)
    form: Form = NewPassphraseForm.from_request() if is_locked else FirstPassphraseForm.from_request()
    if request.method == "GET":
        return _passphrase_page(form)
    if _was_saved(form):
        return redirect(url_for("access.browsers"), SEE_OTHER)
    if not form.validate():
        return _passphrase_page(form), UNPROCESSABLE
    try:
        if is_locked:
            _judge(str(form["old_passphrase"].data), "old_passphrase")
        _set_passphrase(form)
    except RuleError as refusal:
        return _refused(form, refusal, _passphrase_page)
    flash("The new passphrase is set. Every other browser has been signed out.")
    return redirect(url_for("access.browsers"), SEE_OTHER)


def _passphrase_page(form: Form) -> str:
    return render_template("access/passphrase.html", form=form, shortest=rules.SHORTEST)


def _was_saved(form: Form) -> bool:
    with ledger().reading() as session:
        return earlier_submission(session, str(form.submit_token.data or "")) is not None


def _set_passphrase(form: Form) -> None:
    now, location = clock.now(), url_for("access.browsers")
    with ledger().writing() as session:
        typed, here = str(form["passphrase"].data), g.get("browser_id")
        actions.set_passphrase(session, typed, shop_name=frame().shop_name, browser_id=here, now=now)
        if here is None:
            _let_in(session)
        if form.submit_token.data:
            # No hash of what was posted is kept here: it would be a quick way to try passphrases.
            token = str(form.submit_token.data)
            remember_submission(session, token=token, fingerprint="", location=location, now=now)
    log.info("the passphrase was set from %s", rules.tries_from(request.remote_addr))
