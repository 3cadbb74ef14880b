"""What speaks against beginning a step: the order of the finish, what is not dry, what is on the piece, and the air."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.recipes.models import FinishStep
from app.recipes.queries.finish_rows import FinishSheet, FinishStepRow
from app.recipes.queries.labels import labels_of
from app.recipes.queries.surfaces import surface_of
from app.recipes.rules import (
    Air,
    Base,
    DoneStep,
    Finding,
    Level,
    StepState,
    air_findings,
    base_of,
    check_order,
    check_start,
    parts_meet,
)
from app.recipes.rules.order.checking import CHECKS
from app.recipes.rules.order.facts import Told

_LEVELS: Final = list(Level)
AIR: Final = "air"
UNTESTED: Final = "lead_untested"
NO_RESULT: Final = "lead_result"
_OF_WHAT_COMES: Final = frozenset(check.rule.key for check in CHECKS if check.told is Told.ALL)
AIR_LASTS: Final = timedelta(hours=12)
"""How long the air that was typed last is filled in again."""


@dataclass(frozen=True)
class StepChecks:
    """What the checks say about a step, the most serious first; `overruled` are the owner's notes by rule."""

    all: tuple[Finding, ...]
    overruled: dict[str, str]

    @property
    def stops(self) -> list[Finding]:
        """Those that say stop and were not overruled."""
        return [each for each in self.all if each.level is Level.STOP and each.rule not in self.overruled]


def checks_before(
    session: Session, finish: FinishSheet, step: FinishStepRow, now: datetime, air: Air | None = None
) -> StepChecks:
    """Everything the checks say about beginning a step of a finish now, in `air` where it is known.

    What was done counts as it was done, in every finish of the piece; what is still to come as it is planned.
    """
    surface = surface_of(session, finish.piece.id).surface
    standing = [each for each in finish.steps if each.state is not StepState.LEFT_OUT or each is step]
    done = _done_before(finish, step)
    labels = labels_of(session, {each.material.id for each in (*standing, *finish.beside) if each.material})
    found = check_start(done, step.facts, surface, now, labels=labels)
    here = standing.index(step)
    planned = check_order([each.facts for each in standing], surface, labels=labels)
    found += [each for each in planned if each.place == here and each.rule in _OF_WHAT_COMES]
    if air is not None and step.facts.is_coating:
        base = base_of(step.known.product) or Base.OTHER
        found += [
            Finding(f"{AIR} {place}", each.level, here, each.words, "", each.source)
            for place, each in enumerate(air_findings(air.temp_c, air.humidity, base=base))
        ]
    each_once = {each.rule: each for each in found}
    if UNTESTED in each_once and NO_RESULT in each_once:
        del each_once[UNTESTED]  # tested, and the result is what is waited for: one stop says it
    ranked = sorted(each_once.values(), key=lambda each: _LEVELS.index(each.level))
    return StepChecks(tuple(ranked), finish.overruled_for(step))


def air_lately(session: Session, now: datetime) -> Air | None:
    """The air of the room as it was typed last, if that is not long ago; one query."""
    query = (
        select(FinishStep.temp_tenths, FinishStep.humidity)
        .where(FinishStep.temp_tenths.is_not(None), FinishStep.humidity.is_not(None))
        .where(FinishStep.started_at >= now - AIR_LASTS)
        .order_by(FinishStep.started_at.desc())
        .limit(1)
    )
    for temp_tenths, humidity in session.execute(query):
        return Air(temp_tenths or 0, humidity or 0)
    return None


def _done_before(finish: FinishSheet, step: FinishStepRow) -> list[DoneStep]:
    """The steps done on what the step goes over, in this finish and in others, in the order they were done in."""
    done = [
        DoneStep(each.facts, each.done_at, each.ready_at, each.closes_at)
        for each in (*finish.beside, *finish.steps)
        if each.state is StepState.DONE and each.done_at is not None and parts_meet(each.part, step.part)
    ]
    return sorted(done, key=lambda each: each.done_at)
