"""What the desk decides by itself: zones in a handy order, how stages stand, how a set is shared, what is latest."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from types import MappingProxyType
from typing import Final, Protocol, TypeVar
from zoneinfo import available_timezones

from app.basics.dates import known_zone
from app.basics.errors import RuleError
from app.pieces.rules import (
    STAGE_ORDER,
    Leaving,
    OwnedPiece,
    SplitPart,
    Stage,
    StepKind,
    StepRow,
    standing_steps,
)
from app.timelog.rules import Activity

COMMON_ZONES: Final = (
    "America/New_York",
    "America/Chicago",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "Pacific/Honolulu",
    "America/Toronto",
    "America/Vancouver",
    "Europe/London",
    "Europe/Dublin",
    "Europe/Paris",
    "Europe/Berlin",
    "Australia/Sydney",
    "Australia/Perth",
    "Pacific/Auckland",
)

_REGIONS: Final = frozenset(
    {"Africa", "America", "Antarctica", "Arctic", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific"}
)

LATEST_SHOWN: Final = 8
"""How many of the things logged last Today names."""

NOTES_SHOWN: Final = 3
"""How many of the owner's next notes Today names; the bench holds them all."""


def zones_to_choose() -> list[str]:
    """Every place's time zone, the common ones first, then all others by name, then UTC."""
    places = {zone for zone in available_timezones() if zone.partition("/")[0] in _REGIONS and "/" in zone}
    common = [zone for zone in COMMON_ZONES if known_zone(zone)]
    return [*common, *sorted(places - set(common)), "UTC"]


@dataclass(frozen=True)
class RailStop:
    """One stage of a piece: `state` is "cut" (done), "here", "ahead" or "skipped"; when it was last entered."""

    stage: Stage
    state: str
    entered_on: date | None = None
    was_stepped_back: bool = False


def rail_stops(stage: Stage, left_as: Leaving | None, steps: Sequence[StepRow]) -> tuple[RailStop, ...]:
    """All five stages as they stand for a piece that is at `stage`, from its steps in order of time.

    A stage behind the piece that it never entered is skipped; one it came back out of is marked, unless that
    move was itself struck out as a mistake. A piece that left has done all it reached.
    """
    standing = standing_steps(steps)
    entered: dict[Stage, date] = {}
    for step in standing:
        if step.kind is StepKind.IN_AGAIN:
            entered.setdefault(step.to_stage, step.on_date)
        elif step.kind is not StepKind.OUT:
            entered[step.to_stage] = step.on_date
    backs = {step.from_stage for step in standing if step.kind in {StepKind.BACK, StepKind.RETURN}}
    here = STAGE_ORDER.index(stage)
    return tuple(
        RailStop(
            stage=each,
            state=_state(place, here, is_entered=each in entered, has_left=left_as is not None),
            entered_on=entered.get(each) if place <= here else None,
            was_stepped_back=each in backs,
        )
        for place, each in enumerate(STAGE_ORDER)
    )


def _state(place: int, here: int, *, is_entered: bool, has_left: bool) -> str:
    if place > here:
        return "ahead"
    if place == here:
        return "cut" if has_left else "here"
    return "cut" if is_entered else "skipped"


@dataclass(frozen=True)
class OwnedNow:
    """One piece owned when the books begin, as its row says; a price it is offered at puts it on the floor.

    It is on the floor since the day its piece came so far.
    """

    row: int
    piece: OwnedPiece
    asking_cents: int | None = None


STAGES_OWNED: Final = (Stage.SOURCED, Stage.PREPPED, Stage.FINISHED, Stage.LISTED)
"""The stages a piece owned at the start may have come to."""


@dataclass(frozen=True)
class WishedPart:
    """One part of a set to be split: what it is called, how many things are in it and what they are worth."""

    title: str
    count: int
    worth_cents: int | None = None


class SplitBy(StrEnum):
    """How the cost so far is shared over the parts of a set."""

    WORTH = "worth"
    EACH = "each"


@dataclass(frozen=True)
class WishedSplit:
    """A set to be split on a day into parts; `version` is that of the piece as the form was made, None if none was."""

    parts: tuple[WishedPart, ...]
    by: SplitBy
    on_date: date
    version: int | None = None


MOST_PARTS_SHOWN: Final = 6
"""How many parts the page to split a set begins with at most."""

SPLIT_BY_WORDS: Mapping[SplitBy, str] = MappingProxyType(
    {SplitBy.EACH: "The same for each thing", SplitBy.WORTH: "By what each part is worth"}
)


def one_each(title: str, count: int) -> tuple[WishedPart, ...]:
    """The split that is wished most: each thing by itself, under the name of the set; the last part takes the rest."""
    number = min(max(count, 2), MOST_PARTS_SHOWN)
    counts = [1] * (number - 1) + [max(count - number + 1, 1)]
    return tuple(WishedPart(title, each) for each in counts)


def weighed_parts(parts: Sequence[WishedPart], by: SplitBy) -> tuple[SplitPart, ...]:
    """The parts with their weights: how many things each holds, or what it is worth, in cents.

    Refuses a part without its worth when the cost is shared by worth (RuleError at "split_by").
    """
    weighed = []
    for place, part in enumerate(parts, start=1):
        if by is SplitBy.WORTH and not part.worth_cents:
            raise RuleError(f"Part {place} needs what it is worth, or share by number.", "split_by")
        weight = part.worth_cents if by is SplitBy.WORTH and part.worth_cents else part.count
        weighed.append(SplitPart(title=part.title, count=part.count, weight=weight))
    return tuple(weighed)


class Dated(Protocol):
    """Anything that was written down at an instant."""

    @property
    def at(self) -> datetime:
        """When it was written down."""
        ...


D = TypeVar("D", bound=Dated)


def latest_first(rows: Iterable[D], most: int) -> list[D]:
    """The rows written down last, newest first, at most that many."""
    return sorted(rows, key=lambda row: row.at, reverse=True)[:most]


def step_words(kind: StepKind, to_stage: Stage) -> str:
    """What a step was, in a word or two."""
    said = {
        StepKind.START: "Logged",
        StepKind.BACK: f"Back to {to_stage}",
        StepKind.SALE_STRUCK: "Sale struck out",
        StepKind.RETURN: "Came back from its buyer",
        StepKind.RETURN_STRUCK: "Return struck out",
        StepKind.OUT: "Left without a sale",
        StepKind.IN_AGAIN: "Back in hand",
    }
    return said.get(kind, to_stage.value.capitalize())


LIKELY_WORK: Mapping[Stage, Activity] = MappingProxyType(
    {
        Stage.SOURCED: Activity.CLEANING,
        Stage.PREPPED: Activity.FINISHING,
        Stage.FINISHED: Activity.LISTING,
        Stage.LISTED: Activity.DELIVERY,
        Stage.SOLD: Activity.DELIVERY,
    }
)
"""What is likely to be done first on a piece at each stage."""


def likely_activity(stage: Stage, last: Activity | None) -> Activity:
    """What the clock is most likely started for: what was done last while work is under way, else by stage."""
    return last if last is not None and stage in {Stage.SOURCED, Stage.PREPPED} else LIKELY_WORK[stage]
