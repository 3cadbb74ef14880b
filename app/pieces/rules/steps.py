"""A piece's steps in order: which of them stand, since when it is where it is, and how long it took."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import pairwise
from types import MappingProxyType

from app.basics.dates import day_in_words, require_not_future
from app.basics.errors import RuleError
from app.pieces.rules.kinds import STAGE_ORDER, Stage, StepKind

UNDOES: Mapping[StepKind, StepKind] = MappingProxyType(
    {StepKind.SALE_STRUCK: StepKind.SALE, StepKind.RETURN_STRUCK: StepKind.RETURN}
)
HAND_KINDS = frozenset({StepKind.FORWARD, StepKind.BACK, StepKind.OUT, StepKind.IN_AGAIN})


@dataclass(frozen=True)
class StepRow:
    """One step of a piece as it was made."""

    id: int
    kind: StepKind
    from_stage: Stage | None
    to_stage: Stage
    on_date: date
    reason: str
    made_at: datetime
    struck_reason: str | None = None

    @property
    def is_struck(self) -> bool:
        """Whether it was a slip and counts no more."""
        return self.struck_reason is not None

    @property
    def is_dated_by_hand(self) -> bool:
        """Whether its date can be put right with the piece: a listing, a sale and a return have dates of their own."""
        if self.is_struck:
            return False
        if self.kind is StepKind.IN_AGAIN:
            return True
        return self.kind in HAND_KINDS and Stage.LISTED not in {self.from_stage, self.to_stage}


@dataclass(frozen=True)
class StageTime:
    """Whole days a piece spent in a stage, all its spells there together."""

    stage: Stage
    days: int
    is_now: bool


def standing_steps(steps: Sequence[StepRow]) -> list[StepRow]:
    """The steps that still count, in order: a slip is left out, a struck sale or return with its striking.

    When the striking did not lead back to where the piece was before, it stays as a step of its own.
    """
    standing: list[StepRow] = []
    for step in steps:
        if step.is_struck:
            continue
        undone = UNDOES.get(step.kind)
        if undone and standing and standing[-1].kind is undone:
            standing.pop()
            if standing and standing[-1].to_stage is step.to_stage:
                continue
        standing.append(step)
    return standing


def last_standing(steps: Sequence[StepRow]) -> StepRow:
    """The step the next one must follow; refuses a piece without steps (ValueError)."""
    standing = standing_steps(steps)
    if not standing:
        raise ValueError("every piece starts with a step")
    return standing[-1]


def is_listing(step: StepRow) -> bool:
    """Whether the step put the piece on the floor."""
    return step.kind is StepKind.FORWARD and step.to_stage is Stage.LISTED


def undoable_step(steps: Sequence[StepRow]) -> StepRow | None:
    """The newest step that counts, when it may be undone as a slip: one by hand between stages off the floor."""
    counting = [step for step in steps if not step.is_struck]
    last = counting[-1] if counting else None
    is_by_hand = last is not None and last.kind in {StepKind.FORWARD, StepKind.BACK} and last.is_dated_by_hand
    return last if is_by_hand else None


def stage_since(steps: Sequence[StepRow]) -> date:
    """The day the piece came to the stage it is in; leaving does not change it, coming back does."""
    standing = standing_steps(steps)
    return next(step.on_date for step in reversed(standing) if step.kind is not StepKind.OUT)


def time_in_stages(steps: Sequence[StepRow], today: date) -> list[StageTime]:
    """Whole days in each stage up to `today`, in stage order; time sold or away counts for none."""
    standing = standing_steps(steps)
    days: dict[Stage, int] = {}
    ends = [step.on_date for step in standing[1:]] + [today]
    for step, end in zip(standing, ends, strict=True):
        if step.kind is not StepKind.OUT and step.to_stage is not Stage.SOLD:
            days[step.to_stage] = days.get(step.to_stage, 0) + max((end - step.on_date).days, 0)
    is_out = bool(standing) and standing[-1].kind is StepKind.OUT
    now = standing[-1].to_stage if standing and not is_out else None
    return [StageTime(stage, days[stage], stage is now) for stage in STAGE_ORDER if stage in days]


def require_dates_in_order(
    steps: Sequence[StepRow], new_dates: Mapping[int, date], sourced_on: date, today: date
) -> list[StepRow]:
    """The steps with the dates in `new_dates` (by step id) put in, when they could have happened so.

    Refuses a day in the future, a step before the one it follows, a find after the first step, and a date
    that belongs to a listing, a sale or a return; the field named is "step_<id>" or "sourced_on".
    """
    require_not_future(sourced_on, today, "sourced_on")
    redated = [replace(step, on_date=new_dates.get(step.id, step.on_date)) for step in steps]
    for step, new in zip(steps, redated, strict=True):
        if new.on_date == step.on_date:
            continue
        if not step.is_dated_by_hand and step.kind is not StepKind.START:
            raise RuleError("That date belongs to a listing, a sale or a return. Put it right there.", field_of(step))
        require_not_future(new.on_date, today, field_of(step))
    _require_order(standing_steps(redated), sourced_on)
    return redated


def require_found_before(sourced_on: date, first_day: date | None, what: str) -> None:
    """Refuse a find after `first_day`, which `what` names: "the day it was split"; None refuses nothing."""
    if first_day is not None and sourced_on > first_day:
        raise RuleError(f"It was found on or before {what}, {day_in_words(first_day)}.", "sourced_on")


def step_label(step: StepRow) -> str:
    """What the day of a step is called: "Prepped on", "Left on"."""
    if step.kind is StepKind.OUT:
        return "Left on"
    if step.kind is StepKind.IN_AGAIN:
        return "Came back on"
    if step.kind is StepKind.BACK:
        return f"Back to {step.to_stage} on"
    return f"{step.to_stage.capitalize()} on"


def field_of(step: StepRow) -> str:
    """The form field that holds the step's date."""
    return f"step_{step.id}"


def _require_order(standing: Sequence[StepRow], sourced_on: date) -> None:
    first = standing[0]
    require_found_before(sourced_on, first.on_date, "its first step")
    for before, after in pairwise(standing):
        if after.on_date < before.on_date:
            raise RuleError(
                f"{day_in_words(after.on_date)} is before the step it follows, {day_in_words(before.on_date)}.",
                field_of(after) if after.is_dated_by_hand else field_of(before),
            )
