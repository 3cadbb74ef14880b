"""A step about to be begun, held against what was really done and when."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from app.recipes.rules.drying import Label
from app.recipes.rules.kinds import FILMS, Aim, Part, Task
from app.recipes.rules.order.checking import (
    DAMP_UNDER_COAT,
    DAMP_UNDER_SANDING,
    NOT_DRY,
    WINDOW_PAST,
    broken,
    serious_first,
)
from app.recipes.rules.order.facts import Finding, Told, finding_of
from app.recipes.rules.order.place import NO_LABELS, Place, places_of
from app.recipes.rules.order.waits import STICKING, STICKING_WAIT, WET_WOOD
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import Surface

SECONDS: Final = 60
_WAIT_FOR_NOTHING: Final = frozenset({Task.TEST, Task.PHOTOGRAPH})
_CLEANING_THAT_WAITS_FOR_NOTHING: Final = frozenset({Aim.RINSE, Aim.REMOVE_DUST})
_LEAVE_NO_LAYER: Final = frozenset({Task.CLEAN, Task.STRIP})
_DAMP_FROM: Final[Mapping[Aim | None, str]] = {Aim.RINSE: "rinsing", Aim.BLEACH: "bleaching"}
_NOW: Final = frozenset({Told.BEFORE, Told.START})


@dataclass(frozen=True)
class DoneStep:
    """A step that was done, when, and from when till when the next coat may go over it; None where there is no time."""

    facts: StepFacts
    done_at: datetime
    ready_at: datetime | None = None
    closes_at: datetime | None = None


def check_start(
    done: Sequence[DoneStep],
    step: StepFacts,
    surface: Surface,
    now: datetime,
    *,
    labels: Mapping[int, Label] = NO_LABELS,
) -> list[Finding]:
    """What speaks against beginning a step now, after those that were done; the most serious first.

    `done` stand in the order they were done in. A lead test counts by its result, which stands in the surface.
    """
    counted = [each for each in done if each.facts.task is not Task.TEST]
    planned = places_of([*(each.facts for each in counted), step], surface, labels)[-1]
    over = [counted[earlier.at] for earlier in planned.before]
    found = broken(_as_it_was(planned, over, now), None, _NOW)
    if any(_waits_for(step, each) and not _is_dry(each, now) for each in over):
        found.append(finding_of(NOT_DRY, None))
    damp = _damp_wood(step, over, now)
    if damp:
        found = [damp, *(each for each in found if each.rule != WET_WOOD.key)]
    if step.is_coating and _is_past_window(over, now):
        found.append(finding_of(WINDOW_PAST, None))
    return sorted(found, key=serious_first)


def check_leaving(done: Sequence[DoneStep], now: datetime) -> list[Finding]:
    """What speaks against stacking, wrapping or delivering a piece now: a film on it that is younger than 7 days."""
    films = [each for each in done if each.facts.task in FILMS and each.facts.part is not Part.HARDWARE]
    is_soft = any(now - each.done_at < timedelta(minutes=STICKING_WAIT) for each in films)
    return [finding_of(STICKING, None)] if is_soft else []


def _is_dry(done: DoneStep, now: datetime) -> bool:
    return done.ready_at is None or done.ready_at <= now


def _waits_for(step: StepFacts, done: DoneStep) -> bool:
    """Whether a step waits until what an earlier one left is dry: a coat, or filler and glue, which hardware does not.

    Wood that is damp from cleaning or stripping is looked at apart.
    """
    if step.task in _WAIT_FOR_NOTHING or (step.task is Task.CLEAN and step.aim in _CLEANING_THAT_WAITS_FOR_NOTHING):
        return False
    if step.task is Task.HARDWARE:
        return done.facts.is_coating
    return done.facts.task not in _LEAVE_NO_LAYER


def _damp_wood(step: StepFacts, over: Sequence[DoneStep], now: datetime) -> Finding | None:
    """What speaks against coating, filling or sanding wood that is still damp, and from what it is."""
    is_covering = step.is_coating or step.task is Task.FILL
    if not is_covering and step.task is not Task.SAND:
        return None
    for each in reversed(over):
        if each.facts.is_coating:
            return None
        if each.facts.task in _LEAVE_NO_LAYER and not _is_dry(each, now):
            from_what = "stripping" if each.facts.task is Task.STRIP else _DAMP_FROM.get(each.facts.aim, "cleaning")
            found = finding_of(DAMP_UNDER_COAT if is_covering else DAMP_UNDER_SANDING, None)
            return replace(found, words=found.words.replace("still damp", f"still damp from {from_what}"))
    return None


def _as_it_was(planned: Place, over: Sequence[DoneStep], now: datetime) -> Place:
    """The step with the true times between it and the steps that were done before it."""
    passed = [int((now - each.done_at).total_seconds()) // SECONDS for each in over]
    before = zip(planned.before, passed, strict=True)
    return replace(planned, before=tuple(replace(earlier, minutes=minutes) for earlier, minutes in before))


def _is_past_window(over: Sequence[DoneStep], now: datetime) -> bool:
    """Whether the coat it goes over has hardened past its window and was not sanded since."""
    for each in reversed(over):
        if each.facts.task is Task.SAND:
            return False
        if each.facts.is_coating:
            return each.closes_at is not None and each.closes_at < now
    return False
