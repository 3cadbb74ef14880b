"""The page of the plan: for some hours asked for, or for the usual week; and the same as CSV."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell
from app.basics.errors import RuleError
from app.bench.forms import PlanForm
from app.bench.queries import PlanRow, PlanSheet, plan_sheet
from app.bench.routes.blueprint import bp
from app.bench.routes.drawing import strip_of
from app.bench.rules import Horizon, NothingToPlan, asked_horizon, usual_horizon
from app.database.unit_of_work import Session
from app.shop.queries import usual_hours
from app.shop.rules import UsualSpell
from app.web.frame import frame, ledger
from app.web.takeaway import csv_answer

HEADER = ("From", "To", "Tag", "Piece", "Step", "Part", "Minutes", "Minutes from", "Dry at", "Why there")
SHOWN_SESSIONS = 2
QUARTER = 15
OFFERED = timedelta(hours=3)


@dataclass(frozen=True)
class Asked:
    """What the address asks for, and the plan for it; None where there is nothing to plan or something to put right."""

    form: PlanForm
    has_week: bool
    sheet: PlanSheet | None = None
    is_empty: bool = False


@bp.get("/bench/plan")
def plan() -> ResponseReturnValue:
    asked = _asked()
    return render_template(
        "bench/plan.html",
        asked=asked,
        form=asked.form,
        sheet=asked.sheet,
        shown=SHOWN_SESSIONS,
        chart=strip_of(asked.sheet) if asked.sheet else None,
        csv_href=url_for("bench.plan_csv", **_asked_words()),
    )


@bp.get("/bench/plan.csv")
def plan_csv() -> ResponseReturnValue:
    sheet = _asked().sheet
    return csv_answer("plan.csv", HEADER, [_cells(row) for row in sheet.rows] if sheet else [])


def _asked_words() -> dict[str, Any]:
    """What the address asks for, to stand in another."""
    return {name: request.args[name] for name in ("from", "to", "day") if name in request.args}


def _asked() -> Asked:
    now = clock.now()
    with ledger().reading() as session:
        week = usual_hours(session)
        form = PlanForm.from_request(**_offered(now)).on_day(frame().today)
        try:
            return Asked(form, bool(week), _sheet(session, form, week, now))
        except NothingToPlan:
            return Asked(form, bool(week), is_empty=True)
        except RuleError as refusal:
            form.refuse(refusal)
    return Asked(form, bool(week))


def _sheet(session: Session, form: PlanForm, week: Sequence[UsualSpell], now: datetime) -> PlanSheet | None:
    horizon = _horizon(form, week, now)
    return None if horizon is None else plan_sheet(session, horizon, now)


def _horizon(form: PlanForm, week: Sequence[UsualSpell], now: datetime) -> Horizon | None:
    if form.is_told:
        return asked_horizon(*form.asked, week, now=now, zone=frame().zone) if form.validate() else None
    return usual_horizon(week, now=now, zone=frame().zone) if week else None


def _offered(now: datetime) -> dict[str, Any]:
    """The next three hours from a full quarter on, as the form shows them before anybody typed."""
    local = now.astimezone(ZoneInfo(frame().zone)).replace(second=0, microsecond=0)
    begin = local + timedelta(minutes=-local.minute % QUARTER)
    until = begin + OFFERED
    return {
        "day": begin.date(),
        "begin": begin.hour * 60 + begin.minute,
        "until": until.hour * 60 + until.minute,
    }


def _cells(row: PlanRow) -> list[Cell]:
    return [
        _moment(row.start),
        _moment(row.end),
        row.piece.tag,
        row.piece.name,
        row.step.words,
        row.step.facts.part_words,
        row.minutes,
        row.estimate.words,
        _moment(row.dry_at) if row.dries else "",
        row.reason,
    ]


def _moment(instant: datetime) -> str:
    return f"{instant.astimezone(ZoneInfo(frame().zone)):%Y-%m-%d %H:%M}"
