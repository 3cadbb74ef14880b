"""Pages that say what the plan rests on: the usual hours and the workshop, and what a piece brings."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.bench import actions
from app.bench.forms import BringsForm, HoursForm, typed_days
from app.bench.models import BenchFacts
from app.bench.queries import brings, expectation, workshop
from app.bench.routes.blueprint import bp
from app.database.unit_of_work import Session
from app.pieces.queries import piece_by_tag
from app.shop.actions import set_usual_hours
from app.shop.queries import usual_hours
from app.shop.rules import WEEKDAYS, days_typed
from app.web.frame import ledger
from app.web.saving import local_path, save


@bp.route("/bench/hours", methods=["GET", "POST"])
def hours() -> ResponseReturnValue:
    with ledger().reading() as session:
        days, has = days_typed(usual_hours(session)), workshop(session)
    form = HoursForm.from_request(
        version=str(has.version), drying_places=has.drying_places, spray_clear=has.spray_clear, **typed_days(days)
    )

    def again() -> str:
        return render_template("bench/hours.html", form=form, has=has, stands=list(zip(WEEKDAYS, days, strict=True)))

    if request.method == "GET":
        return again()
    return save(form, lambda session: _keep_hours(session, form), to=_to_plan, again=again, done="Kept.")


def _keep_hours(session: Session, form: HoursForm) -> BenchFacts:
    kept = actions.set_bench_facts(
        session,
        drying_places=form.drying_places.data,
        spray_clear=form.spray_clear.data,
        version=form.version_number,
    )
    set_usual_hours(session, form.days)
    return kept


def _to_plan(_kept: object) -> str:
    return url_for("bench.plan")


@bp.route("/bench/<tag>/brings", methods=["GET", "POST"])
def say_brings(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        there, known = expectation(session, piece.id), brings(session, [piece.id])[piece.id]
    form = BringsForm.from_request(version=str(there.version), brings=there.cents)
    back = local_path(request.values.get("next"), url_for("bench.plan"))

    def act(session: Session) -> None:
        actions.expect(session, piece.id, form.brings.data, version=form.version_number, now=clock.now())

    def again() -> str:
        return render_template("bench/brings.html", form=form, piece=piece, known=known, back=back)

    if request.method == "GET":
        return again()
    return save(form, act, to=lambda _: back, again=again, done="Kept. The plan counts on it.")
