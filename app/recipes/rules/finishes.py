"""A finish as done: how far it has come, what its steps wait for, and what may be done with them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from types import MappingProxyType
from typing import Final, Protocol

from app.basics.errors import RuleError
from app.basics.temperature import COLDEST_TENTHS, HOTTEST_TENTHS
from app.recipes.rules.kinds import Part, parts_meet

MOST_PERCENT: Final = 100
LONGEST_AGO: Final = timedelta(days=14)
LONGEST_DRYING: Final = timedelta(days=365)


class StepState(StrEnum):
    """How far a step of a finish has come."""

    WAITING = "waiting"
    STARTED = "started"
    DONE = "done"
    LEFT_OUT = "left_out"


class FinishState(StrEnum):
    """How far a finish has come; a stopped one was given up before its last step."""

    UNDER_WAY = "under_way"
    DONE = "done"
    STOPPED = "stopped"


FINISH_STATE_WORDS: Mapping[FinishState, str] = MappingProxyType(
    {FinishState.UNDER_WAY: "under way", FinishState.DONE: "done", FinishState.STOPPED: "stopped"}
)


STEP_STATE_WORDS: Mapping[StepState, str] = MappingProxyType(
    {
        StepState.WAITING: "still to do",
        StepState.STARTED: "begun",
        StepState.DONE: "done",
        StepState.LEFT_OUT: "left out",
    }
)


class NotNow(RuleError):
    """The step may not be begun or ended as it stands."""


class CheckStops(RuleError):
    """A check says stop, and the owner did not say why it does not hold here."""


@dataclass(frozen=True)
class NewFinish:
    """A finish to be made on a piece: by a recipe, as another finish was made, or freely where neither is named.

    `part` is the one part it goes on, where the recipe leaves that open. `redo_of_id` is the finish it covers, and
    `made_for` says for whom.
    """

    piece_id: int
    recipe_id: int | None = None
    like_finish_id: int | None = None
    part: Part | None = None
    name: str = ""
    redo_of_id: int | None = None
    made_for: str = ""


@dataclass(frozen=True)
class Air:
    """The air of the room: tenths of a degree C, and relative humidity in whole percent."""

    temp_tenths: int
    humidity: int

    @property
    def temp_c(self) -> float:
        """Its temperature in degrees C."""
        return self.temp_tenths / 10


@dataclass(frozen=True)
class DoneFacts:
    """What a step really took: minutes of work, thousandths of the material's unit, the air, and words for it.

    `temp_tenths` is in tenths of a degree C; the amounts and the air are None where nobody measured. `done_at` None
    is now.
    """

    minutes: int
    done_at: datetime | None = None
    used_milli: int | None = None
    temp_tenths: int | None = None
    humidity: int | None = None
    note: str = ""


class OneStep(Protocol):
    """What the order of the steps of a finish is worked out from."""

    @property
    def reach(self) -> Part:
        """The part whose other work it waits for: its own, or all of the piece."""
        ...

    @property
    def state(self) -> StepState:
        """How far it has come."""
        ...

    @property
    def ready_at(self) -> datetime | None:
        """From when the next coat may go on what it left; None before it is done."""
        ...


def steps_before(steps: Sequence[OneStep], place: int) -> list[int]:
    """The places of the steps that must be done before the one at `place`: the last before it on each part it meets.

    Steps left out are passed over.
    """
    wanted: list[int] = []
    behind: set[int] = set()
    for before in reversed(range(place)):
        if before not in behind and _stands_before(steps, before, place):
            wanted.append(before)
            behind |= _all_before(steps, before)
    return sorted(wanted)


def _all_before(steps: Sequence[OneStep], place: int) -> set[int]:
    """The places of all steps that must be done before the one at `place`, near and far."""
    found = {place}
    for before in reversed(range(place)):
        if any(_stands_before(steps, before, each) for each in found):
            found.add(before)
    return found - {place}


def _stands_before(steps: Sequence[OneStep], before: int, place: int) -> bool:
    is_done_at_all = steps[before].state is not StepState.LEFT_OUT
    return before < place and is_done_at_all and parts_meet(steps[before].reach, steps[place].reach)


def ready_from(steps: Sequence[OneStep], place: int) -> datetime | None:
    """From when what the step at `place` goes over is dry; None where nothing before it dries.

    A step before it that is not done yet has no time to tell; ask `is_next` first.
    """
    times = [steps[before].ready_at for before in steps_before(steps, place)]
    return max((time for time in times if time is not None), default=None)


def is_next(steps: Sequence[OneStep], place: int) -> bool:
    """Whether the step at `place` waits for nothing but drying: all before it on its part is done or left out."""
    if steps[place].state is not StepState.WAITING:
        return False
    return all(steps[before].state is StepState.DONE for before in steps_before(steps, place))


def require_waiting(state: StepState) -> None:
    """Refuse to change what was begun or is over (NotNow)."""
    if state is not StepState.WAITING:
        raise NotNow("This step was begun already, or is over.")


def require_under_way(state: FinishState) -> None:
    """Refuse to change a finish that was stopped (NotNow)."""
    if state is FinishState.STOPPED:
        raise NotNow("This finish was stopped.")


def require_not_over(state: StepState) -> None:
    """Refuse to begin or end a step that is over (NotNow)."""
    if state in {StepState.DONE, StepState.LEFT_OUT}:
        raise NotNow("This step is over already.")


def require_in_turn(steps: Sequence[OneStep], place: int, words: Sequence[str]) -> None:
    """Refuse a step before which another on its part is not done yet; `words` name the steps (NotNow)."""
    for before in steps_before(steps, place):
        if steps[before].state is not StepState.DONE:
            raise NotNow(f"Before it comes step {before + 1}: {words[before]}. Do that first, or leave it out.")


def done_instant(done_at: datetime | None, started_at: datetime | None, now: datetime) -> datetime:
    """When a step ended, as it was typed to the minute; now where nobody said.

    Refuses, at "ended", an end to come, before the step was begun, or more than two weeks ago (RuleError).
    """
    if done_at is None:
        return now
    if done_at > now:
        raise RuleError("That time has not come yet.", "ended")
    if now - done_at > LONGEST_AGO:
        raise RuleError("That is more than two weeks ago. Say about when it was done.", "ended")
    if started_at is None:
        return done_at
    # A time is typed in whole minutes: within the minute it was begun in, the step ends as it begins.
    if done_at < started_at.replace(second=0, microsecond=0):
        raise RuleError("That is before the step was begun.", "ended")
    return max(done_at, started_at)


def require_ready_at(ready_at: datetime, done_at: datetime, now: datetime) -> None:
    """Refuse to be dry before the coat was on, or beyond a year from now, at "ready" (RuleError)."""
    if ready_at < done_at:
        raise RuleError("That is before the coat was on.", "ready")
    if ready_at - now > LONGEST_DRYING:
        raise RuleError("That is more than a year away.", "ready")


def require_air(temp_tenths: int | None, humidity: int | None) -> None:
    """Refuse air nobody works in: outside -40 to 60 degrees C, or 0 to 100 % humidity (RuleError)."""
    if temp_tenths is not None and not COLDEST_TENTHS <= temp_tenths <= HOTTEST_TENTHS:
        raise RuleError("Type a temperature from -40 to 60 °C (-40 to 140 °F).", "temperature")
    if humidity is not None and not 0 <= humidity <= MOST_PERCENT:
        raise RuleError("Humidity is from 0 to 100 %.", "humidity")
