"""The year of the car: what it ran in all, what of that was business, and the rest."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.trips import actions, queries
from app.trips.forms import CarForm
from app.trips.queries import CarYearSheet
from app.trips.routes.blueprint import bp
from app.web.frame import frame, ledger
from app.web.saving import save


@bp.route("/trips/car/<int:year>", methods=["GET", "POST"])
def car(year: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = queries.car_year_sheet(session, year)
    form = _car_form(sheet)

    def again() -> str:
        return render_template("trips/car.html", form=form, sheet=sheet, is_to_come=year > frame().today.year)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.save_car_year(session, form.facts(year), version=form.version_said, now=clock.now()),
        to=lambda _row: url_for("trips.car", year=year),
        again=again,
        done="The year of the car is saved.",
    )


def _car_form(sheet: CarYearSheet) -> CarForm:
    said = sheet.facts
    return CarForm.from_request(
        version="" if sheet.version is None else str(sheet.version),
        unit=sheet.unit.value,
        total=said.total_hundredths if said else None,
        commuting=said.commuting_hundredths if said else None,
        in_service_on=said.in_service_on if said else sheet.served_since,
    )
