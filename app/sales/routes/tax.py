"""Pages of the places sales tax is for, and their rates by date."""

from collections.abc import Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell
from app.basics.quantities import rate_plain
from app.database.unit_of_work import Session
from app.sales import actions, queries
from app.sales.forms import WAYS_TO_ROUND, CorrectPlaceForm, PlaceForm, RateForm
from app.sales.models import TaxPlace
from app.sales.queries import TaxPlaceRow
from app.sales.routes.blueprint import bp
from app.web.filters import day
from app.web.forms import StrikeForm
from app.web.frame import ledger
from app.web.saving import save
from app.web.takeaway import csv_answer

PLACES_HEADER = ("Place", "Rounded", "Put away", "Rate, percent", "From", "Struck out because")


@bp.route("/settings/sales-tax", methods=["GET", "POST"])
def tax_places() -> ResponseReturnValue:
    form = PlaceForm.from_request().offer("basis", WAYS_TO_ROUND)

    def again() -> str:
        return render_template("sales/tax_places.html", form=form, rows=_all_places())

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _add_place(session, form),
        to=lambda _place: url_for("sales.tax_places"),
        again=again,
        done=lambda _place: f"{form.name.data} is added.",
    )


@bp.get("/settings/sales-tax.csv")
def tax_places_csv() -> ResponseReturnValue:
    return csv_answer("sales-tax-places.csv", PLACES_HEADER, _place_cells(_all_places()))


@bp.route("/settings/sales-tax/<int:tax_place_id>", methods=["GET", "POST"])
def tax_place(tax_place_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.tax_place_by_id(session, tax_place_id)
    form = CorrectPlaceForm.from_request(
        version=str(row.version), name=row.name, basis=row.basis.value, put_away=row.is_put_away
    ).offer("basis", WAYS_TO_ROUND)

    def again() -> str:
        return render_template("sales/tax_place.html", form=form, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _correct_place(session, tax_place_id, form),
        to=lambda _place: url_for("sales.tax_places"),
        again=again,
        done=lambda _place: f"{form.name.data} is put right.",
    )


@bp.route("/settings/sales-tax/<int:tax_place_id>/rate", methods=["GET", "POST"])
def add_tax_rate(tax_place_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.tax_place_by_id(session, tax_place_id)
    form = RateForm.from_request()

    def again() -> str:
        return render_template("sales/tax_rate.html", form=form, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.add_tax_rate(
            session, tax_place_id, from_date=form.from_date.data, rate_ppm=form.rate.data, now=clock.now()
        ),
        to=lambda _rate: url_for("sales.tax_place", tax_place_id=tax_place_id),
        again=again,
        done=lambda _rate: f"The rate of {row.name} from {day(form.from_date.data)} on is set.",
    )


@bp.route("/settings/sales-tax/rates/<int:tax_rate_id>/strike", methods=["GET", "POST"])
def strike_tax_rate(tax_rate_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        rate = queries.tax_rate_by_id(session, tax_rate_id)
        row = queries.tax_place_by_id(session, rate.place_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("sales/strike_tax_rate.html", form=form, rate=rate, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_tax_rate(session, tax_rate_id, reason=form.reason.data, now=clock.now()),
        to=lambda _rate: url_for("sales.tax_place", tax_place_id=row.id),
        again=again,
        done="The rate is struck out. Sales keep the tax they had.",
    )


def _all_places() -> list[TaxPlaceRow]:
    with ledger().reading() as session:
        return queries.tax_places(session, include_put_away=True)


def _add_place(session: Session, form: PlaceForm) -> TaxPlace:
    """The place and its first rate are added together, or neither is."""
    place = actions.add_tax_place(session, name=form.name.data, basis=form.basis_chosen)
    actions.add_tax_rate(session, place.id, from_date=form.from_date.data, rate_ppm=form.rate.data, now=clock.now())
    return place


def _correct_place(session: Session, place_id: int, form: CorrectPlaceForm) -> TaxPlace:
    return actions.correct_tax_place(
        session,
        place_id,
        name=form.name.data,
        basis=form.basis_chosen,
        is_put_away=bool(form.put_away.data),
        version=form.version_number,
    )


def _place_cells(rows: list[TaxPlaceRow]) -> Iterator[tuple[Cell, ...]]:
    """A line for each rate of each place, oldest first; one without rates has a line all the same."""
    for row in rows:
        head = (row.name, row.basis_words, "yes" if row.is_put_away else "no")
        if not row.rates:
            yield *head, "", None, ""
        for rate in reversed(row.rates):
            yield *head, rate_plain(rate.rate_ppm), rate.from_date, rate.struck_reason or ""
