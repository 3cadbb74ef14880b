"""The mileage rates: the published ones, the shop's own, and what an own one changes before it is saved."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell
from app.basics.errors import RuleError
from app.trips import actions, queries
from app.trips.forms import OwnRateForm
from app.trips.queries import OwnRateRow
from app.trips.routes.blueprint import bp
from app.trips.rules import PUBLISHED_RATES, Distance, PublishedRate, amount_at, rate_plain, usual_unit
from app.web.filters import counted
from app.web.forms import StrikeForm
from app.web.frame import frame, ledger
from app.web.saving import UNPROCESSABLE, save
from app.web.takeaway import csv_answer

HEADER = ("From", "Until", "Rate", "For one", "Whose", "Where it is from", "Struck out because")
TRIAL_HUNDREDTHS = 100_00
# A page that asks whether to save is fetched anew by Back, so that it counts the trips anew.
NEVER_KEPT = {"Cache-Control": "no-store"}


@bp.get("/trips/rates")
def rates() -> ResponseReturnValue:
    own, published = _known()
    return render_template("trips/rates.html", own=own, published=published, plain=rate_plain)


@bp.get("/trips/rates.csv")
def rates_csv() -> ResponseReturnValue:
    return csv_answer("mileage-rates.csv", HEADER, _cells(*_known(), frame().places))


@bp.route("/trips/rates/new", methods=["GET", "POST"])
def add_rate() -> ResponseReturnValue:
    form = _rate_form()
    if request.method == "GET":
        return _add_page(form)
    return save(
        form,
        lambda session: actions.add_rate(session, form.new_rate(), now=clock.now()),
        to=lambda _plan: url_for("trips.rates"),
        again=lambda: _add_page(form),
        done=lambda plan: f"The rate is saved. {counted(len(plan.changes), 'trip was', 'trips were')} charged anew.",
    )


@bp.get("/trips/rates/check")
def check_rate() -> ResponseReturnValue:
    form = _rate_form()
    if not form.is_told:
        return _add_page(form)
    if not form.validate():
        return _add_page(form), UNPROCESSABLE
    new = form.new_rate()
    try:
        with ledger().reading() as session:
            plan = queries.plan_of_adding(session, new)
    except RuleError as refusal:
        form.refuse(refusal)
        return _add_page(form), UNPROCESSABLE
    trial = Distance(TRIAL_HUNDREDTHS, new.unit)
    comes_to = amount_at(trial, new.hundredths, new.unit)
    page = render_template("trips/check_rate.html", form=form, new=new, plan=plan, trial=trial, comes_to=comes_to)
    return page, NEVER_KEPT


@bp.route("/trips/rates/<int:rate_id>/strike", methods=["GET", "POST"])
def strike_rate(rate_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.own_rate(session, rate_id)
        plan = queries.plan_of_striking(session, rate_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("trips/strike_rate.html", form=form, row=row, plan=plan)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_rate(session, rate_id, reason=form.reason.data, now=clock.now()),
        to=lambda _plan: url_for("trips.rates"),
        again=again,
        done=lambda done: (
            f"The rate is struck out. {counted(len(done.changes), 'trip was', 'trips were')} charged anew."
        ),
    )


def _known() -> tuple[list[OwnRateRow], list[PublishedRate]]:
    """The own rates and those published that the shop counts by, the newest first."""
    with ledger().reading() as session:
        return queries.own_rates(session), list(queries.shop_rates(session).published[::-1])


def _rate_form() -> OwnRateForm:
    """The form; a new one begins with the first year that no published rate is known for, or else this year."""
    year = max(frame().today.year, PUBLISHED_RATES[-1].until_date.year + 1)
    year = year if year <= frame().today.year + 1 else frame().today.year
    return OwnRateForm.from_request(
        unit=usual_unit(frame().units).value, from_date=date(year, 1, 1), until_date=date(year, 12, 31)
    )


def _add_page(form: OwnRateForm) -> str:
    return render_template("trips/add_rate.html", form=form)


def _cells(own: list[OwnRateRow], published: list[PublishedRate], places: int) -> Iterator[list[Cell]]:
    for row in own:
        days: list[Cell] = [row.from_date, row.until_date, _number(row.rate_plain(places)), row.unit.value]
        yield [*days, "own", row.source, row.struck_reason]
    for rate in published:
        days = [rate.from_date, rate.until_date, _number(rate_plain(rate.hundredths, places)), rate.unit.value]
        yield [*days, "published", rate.source, None]


def _number(rate: str) -> Decimal:
    """A rate as a number: a list and a spreadsheet both write it without noughts at its end."""
    return Decimal(rate).normalize()
