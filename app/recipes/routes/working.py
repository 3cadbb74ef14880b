"""Pages that work a finish off: begin a step, say that it is done, leave it out, put it back, wait longer."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.dates import local_day
from app.database.unit_of_work import Session
from app.pieces.actions import step_forward
from app.pieces.rules import Caution, Stage
from app.recipes import actions, queries
from app.recipes.forms.finishes import BeginStepForm, DoneStepForm, ReasonForm, WaitForm
from app.recipes.models import FinishStep
from app.recipes.queries import DoneProposal, FinishSheet, FinishStepRow, StepChecks
from app.recipes.routes.asking import Asked, with_reason
from app.recipes.routes.blueprint import bp
from app.recipes.rules import (
    Air,
    Base,
    FinishState,
    Level,
    Task,
    base_of,
    cautions_for_step,
    drying_stretch,
)
from app.shelf.queries import changes_with
from app.shelf.rules import NewUse
from app.web.checking import Changes, Entry, enter
from app.web.filters import clock_time
from app.web.frame import frame, ledger
from app.web.saving import local_path, save


@dataclass(frozen=True)
class _Place:
    """One step with its finish, and where saving leads."""

    finish: FinishSheet
    step: FinishStepRow
    back: str

    def page(self, template: str, **more: Any) -> str:
        """A page about the step."""
        return render_template(template, finish=self.finish, step=self.step, ground=self, back=self.back, **more)


@dataclass(frozen=True)
class _Ground(_Place):
    """A step that may be begun or done: also what the checks say about it now, and what can hurt."""

    checks: StepChecks
    cautions: tuple[Caution, ...]

    @property
    def why_not(self) -> str:
        """Why the step may not be begun as it stands; nothing where it may."""
        if self.step.is_over:
            return "This step is over already."
        if self.finish.state is FinishState.STOPPED or not self.finish.piece.is_on_hand:
            return "This finish was stopped, or its piece is not here any more."
        waits_for = [each.words for each in self.finish.before(self.step) if not each.is_over]
        return f"Before it comes: {'; '.join(waits_for)}. Do that first, or leave it out." if waits_for else ""

    @property
    def begun(self) -> str:
        """What is said once it is begun: also what to take care of in the air that was typed."""
        care = [
            each.words for each in self.checks.all if each.rule.startswith(queries.AIR) and each.level is Level.WARN
        ]
        return " ".join(["Begun. The clock runs.", *care])


def _place(session: Session, step_id: int) -> _Place:
    finish = queries.finish_of_step(session, step_id)
    back = local_path(request.values.get("next"), url_for("recipes.finish", finish_id=finish.id))
    return _Place(finish, queries.step_in(finish, step_id), back)


def _ground(session: Session, step_id: int, now: datetime, air: Air | None = None) -> _Ground:
    place = _place(session, step_id)
    checks = queries.checks_before(session, place.finish, place.step, now, air)
    surface = queries.surface_of(session, place.finish.piece.id).surface
    return _Ground(place.finish, place.step, place.back, checks, cautions_for_step(place.step.known, surface))


@bp.route("/finishes/steps/<int:step_id>/begin", methods=["GET", "POST"])
def begin_step(step_id: int) -> ResponseReturnValue:
    now = clock.now()
    form = BeginStepForm.from_request()
    with ledger().reading() as session:
        air = form.air if request.method == "POST" else queries.air_lately(session, now)
        ground = _ground(session, step_id, now, air)
    if request.method == "GET":
        form.fill_in(ground.step.version, air)

    def again() -> str:
        return ground.page("recipes/begin_step.html", form=form, stretch=_stretch(air, ground.step), now=now)

    if request.method == "GET":
        return again()
    return save(form, lambda s: _begin(s, step_id, form), to=lambda _step: ground.back, again=again, done=ground.begun)


def _stretch(air: Air | None, step: FinishStepRow) -> float | None:
    """How many times as long as usual a coat is likely to dry in this air; None where nobody knows the air."""
    if air is None or not step.facts.is_coating:
        return None
    return drying_stretch(air.temp_c, air.humidity, base_of(step.known.product) or Base.OTHER)


def _begin(session: Session, step_id: int, form: BeginStepForm) -> FinishStep:
    return actions.begin_step(
        session,
        step_id,
        because=form.because.data,
        air=form.air,
        version=form.version_number,
        now=clock.now(),
    )


@bp.route("/finishes/steps/<int:step_id>/done", methods=["GET", "POST"])
def done_step(step_id: int) -> ResponseReturnValue:
    now = clock.now()
    with ledger().reading() as session:
        ground = _ground(session, step_id, now)
        asked = queries.done_proposal(session, ground.finish, ground.step, now=now, units=frame().units)
    form = DoneStepForm.from_request(
        version=str(ground.step.version),
        minutes=asked.minutes,
        quantity=asked.quantity,
        measure=asked.measure,
        ended=now,
        mark_finished=asked.is_last,
    ).measured_in(ground.step.material.unit if ground.step.material else None)
    form.usual_milli = asked.usual_milli
    entry = _done_entry(form, ground, asked)
    return enter(entry, lambda step: _said(ground, step, now)) if request.method == "POST" else entry.ask()


def _done_entry(form: DoneStepForm, ground: _Ground, asked: DoneProposal) -> Entry:
    here = url_for("recipes.done_step", step_id=ground.step.id, next=request.values.get("next"))
    return Entry(
        form,
        act=lambda session, _file: _finish_step(session, form, ground),
        find_changes=lambda: _changes(form, ground),
        ask=lambda: ground.page("recipes/done_step.html", form=form, here=here, asked=asked),
        check=lambda changes: render_template(
            "shelf/check.html",
            form=form,
            name=ground.step.material.name if ground.step.material else "",
            here=here,
            onward=ground.back,
            changes=changes,
        ),
        onward=ground.back,
    )


def _finish_step(session: Session, form: DoneStepForm, ground: _Ground) -> FinishStep:
    step = actions.finish_step(
        session,
        ground.step.id,
        form.done_facts(),
        because=form.because.data,
        version=form.version_number,
        capture_id=form.submit_token.data or "",
        agreed=form.agreed_mark,
        now=clock.now(),
    )
    piece = ground.finish.piece
    if step.task is Task.TEST and form.lead_result is not None:
        seen = queries.surface_of(session, piece.id).surface
        actions.look_over(session, piece.id, replace(seen, lead_test=form.lead_result), version=None, now=clock.now())
    if form.mark_finished.data and piece.stage in {Stage.SOURCED, Stage.PREPPED}:
        step_forward(session, piece.id, Stage.FINISHED, on_date=frame().today, version=None, now=clock.now())
    return step


def _changes(form: DoneStepForm, ground: _Ground) -> Changes:
    if form.milli is None or ground.step.material is None:
        return [], ""
    day = local_day(form.ended.data, frame().zone)
    new = NewUse(ground.step.material.id, ground.finish.piece.id, form.milli, day)
    with ledger().reading() as session:
        return changes_with(session, new.material_id, new.row)


def _said(ground: _Ground, step: FinishStep, now: datetime) -> str:
    if step.ready_at is None or step.ready_at <= now:
        return "Done."
    return f"Done. {ground.finish.ready_for(ground.step)} from {clock_time(step.ready_at)}; the label rules."


@bp.route("/finishes/steps/<int:step_id>/leave-out", methods=["GET", "POST"])
def leave_out(step_id: int) -> ResponseReturnValue:
    return _ask_why(step_id, actions.leave_out, "Leave out", "It is passed over; the finish says why.", "Left out.")


@bp.route("/finishes/steps/<int:step_id>/put-back", methods=["GET", "POST"])
def put_back(step_id: int) -> ResponseReturnValue:
    lead = "It is to do again. The time and the material written down for it are struck out and stay in sight."
    return _ask_why(step_id, actions.put_back, "Put back", lead, "It is to do again.")


def _ask_why(step_id: int, act: Callable[..., FinishStep], verb: str, lead: str, done: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        place = _place(session, step_id)
    form = ReasonForm.from_request(version=str(place.step.version))

    def why(session: Session) -> FinishStep:
        return act(session, step_id, reason=form.reason.data, version=form.version_number, now=clock.now())

    asked = Asked(f"{verb}: {place.step.words}", lead, verb)
    return with_reason(form, asked, why, back=place.back, done=done)


@bp.route("/finishes/steps/<int:step_id>/wait", methods=["GET", "POST"])
def wait(step_id: int) -> ResponseReturnValue:
    now = clock.now()
    with ledger().reading() as session:
        place = _place(session, step_id)
    form = WaitForm.from_request(version=str(place.step.version), ready=place.step.ready_at or now)

    def act(session: Session) -> FinishStep:
        return actions.wait_longer(
            session, step_id, ready_at=form.ready.data, version=form.version_number, now=clock.now()
        )

    def again() -> str:
        return place.page("recipes/wait.html", form=form)

    if request.method == "GET":
        return again()
    return save(form, act, to=lambda _step: place.back, again=again, done="Noted.")
