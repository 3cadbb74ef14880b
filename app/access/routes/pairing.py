"""Pages that pair a phone: the code on a signed-in browser, and the open page on which the phone brings it."""

import logging
from http import HTTPStatus

from flask import current_app, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.access import actions, queries, rules
from app.access.formats import square
from app.access.forms import PairForm
from app.access.routes.blueprint import bp
from app.access.routes.door import guessed_name, let_in, refused, was_here
from app.access.routes.phones import NO_STORE
from app.basics import clock
from app.basics.errors import RuleError
from app.web.forms import Form
from app.web.frame import ledger
from app.web.saving import SEE_OTHER, UNPROCESSABLE

log = logging.getLogger("tackcloth")
POCKET = "pocket.page"


@bp.get("/settings/phones/pair")
def new_pairing() -> ResponseReturnValue:
    return _code_page(None)


@bp.post("/settings/phones/pair")
def make_pairing() -> ResponseReturnValue:
    with ledger().writing() as session:
        code = actions.make_pairing(session, now=clock.now())
    return _code_page(code), HTTPStatus.OK, NO_STORE


def _code_page(code: str | None) -> str:
    with ledger().reading() as session:
        home, is_locked = queries.home_address(session), queries.passphrase_is_set(session)
    squares = _squares(home, code) if home and code else {}
    typed = rules.code_to_type(code) if code else None
    return render_template("access/new_pairing.html", home=home, is_locked=is_locked, typed=typed, squares=squares)


def _squares(home: rules.Home, code: str) -> dict[str, str]:
    path = url_for("access.pair", code=code)
    trust = home.plain(url_for("access.certificate"))
    return {
        "pair": square(home.secure(path), "The address that pairs a phone, to scan"),
        "plain": square(home.plain(path), "The same without a cipher, to scan"),
        "trust": square(trust, "The page of the certificate, to scan", "square square-small"),
    }


@bp.route("/pair", methods=["GET", "POST"], defaults={"code": ""})
@bp.route("/pair/<code>", methods=["GET", "POST"])
def pair(code: str) -> ResponseReturnValue:
    form = PairForm.from_request()
    if request.method != "POST":
        return _pair_page(form)
    if not form.validate():
        return _pair_page(form), UNPROCESSABLE
    try:
        _bring(rules.read_code(code or str(form.code.data)), str(form["name"].data))
    except RuleError as refusal:
        return refused(form, refusal, _pair_page)
    return redirect(url_for(POCKET) if POCKET in current_app.view_functions else "/", SEE_OTHER)


def _pair_page(form: Form) -> str:
    typing = url_for("access.pair")
    # A code that was refused is typed or scanned once more.
    has_code = request.path != typing and not form["code"].errors
    return render_template("access/pair.html", form=form, here=request.path if has_code else typing, has_code=has_code)


def _bring(code: str, name: str) -> None:
    """Judge a code and let the phone in; a wrong one costs a try. Raises TooManyTries or PairingRefused."""
    now, address = clock.now(), rules.tries_from(request.remote_addr)
    with ledger().writing() as session:
        actions.count_try(session, address, now=now)
    try:
        with ledger().writing() as session:
            token = actions.pair_phone(session, code, name=name or guessed_name(), now=now)
            actions.forget_tries(session, address)
            if g.get("browser_id"):
                # Paired anew it is the same phone: it must not stand in the list twice.
                actions.end_browser(session, g.browser_id, now=now)
            let_in(token, was_here=was_here(session))
    except rules.PairingRefused:
        log.warning("a code that pairs nothing from %s", address)
        raise
