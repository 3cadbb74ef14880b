"""The first start: what the shop is called and what it reckons in."""

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.money import known_currencies
from app.desk import actions
from app.desk.forms.start import StartForm
from app.desk.routes.blueprint import bp
from app.desk.rules import zones_to_choose
from app.web.frame import frame
from app.web.saving import SEE_OTHER, save


def zone_choices() -> list[tuple[str, str]]:
    """Every time zone as a choice, the common ones first."""
    return [(zone, zone.replace("_", " ")) for zone in zones_to_choose()]


def currency_choices() -> list[tuple[str, str]]:
    """Every currency in use as a choice."""
    return [(code, f"{code} \N{EN DASH} {name}") for code, name in known_currencies(frame().locale)]


@bp.route("/start", methods=["GET", "POST"])
def start() -> ResponseReturnValue:
    if frame().is_set_up:
        return redirect(url_for("desk.today"), SEE_OTHER)
    form = StartForm.from_request().offer("currency", currency_choices()).offer("time_zone", zone_choices())

    def again() -> str:
        return render_template("desk/start.html", form=form)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.open_shop(session, form.facts(), now=clock.now()),
        to=lambda _nothing: url_for("desk.own"),
        again=again,
        done="Your shop is open.",
    )
