"""The page that sets the passphrase."""

import logging

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.access import actions, queries, rules
from app.access.forms import FirstPassphraseForm, NewPassphraseForm
from app.access.routes.blueprint import bp
from app.access.routes.door import judge, let_in, refused, sign_in_here, was_here
from app.basics import clock
from app.basics.errors import RuleError
from app.database.once import earlier_submission, remember_submission
from app.web.forms import Form
from app.web.frame import frame, ledger
from app.web.saving import SEE_OTHER, UNPROCESSABLE

log = logging.getLogger("tackcloth")


@bp.route("/settings/passphrase", methods=["GET", "POST"])
def passphrase() -> ResponseReturnValue:
    with ledger().reading() as session:
        is_locked = queries.passphrase_is_set(session)
    form: Form = NewPassphraseForm.from_request() if is_locked else FirstPassphraseForm.from_request()
    if request.method != "POST":
        return _passphrase_page(form)
    if _was_saved(form):
        return redirect(url_for("access.phones"), SEE_OTHER)
    if not form.validate():
        return _passphrase_page(form), UNPROCESSABLE
    try:
        if is_locked:
            judge(str(form["old_passphrase"].data), "old_passphrase")
        _set_passphrase(form)
    except RuleError as refusal:
        return refused(form, refusal, _passphrase_page)
    flash("The new passphrase is set. Every other browser has been signed out.")
    return redirect(url_for("access.phones"), SEE_OTHER)


def _passphrase_page(form: Form) -> str:
    return render_template("access/passphrase.html", form=form, shortest=rules.SHORTEST)


def _was_saved(form: Form) -> bool:
    with ledger().reading() as session:
        return earlier_submission(session, str(form.submit_token.data or "")) is not None


def _set_passphrase(form: Form) -> None:
    now, location = clock.now(), url_for("access.phones")
    with ledger().writing() as session:
        typed, here = str(form["passphrase"].data), g.get("browser_id")
        actions.set_passphrase(session, typed, shop_name=frame().shop_name, browser_id=here, now=now)
        if here is None:
            let_in(sign_in_here(session), was_here=was_here(session))
        if form.submit_token.data:
            # No hash of what was posted is kept here: it would be a quick way to try passphrases.
            token = str(form.submit_token.data)
            remember_submission(session, token=token, fingerprint="", location=location, now=now)
    log.info("the passphrase was set from %s", rules.tries_from(request.remote_addr))
