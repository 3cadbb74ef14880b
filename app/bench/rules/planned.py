"""What a plan is made from and what it says. All times are whole minutes from the plan's own zero, which is now."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.basics.errors import RuleError


class CannotPlan(RuleError):
    """No plan can be made from what was given; the sentence says what to put right."""


@dataclass(frozen=True, slots=True)
class PlanStep:
    """One step of a piece: `active` minutes of work, then `passive` minutes in which it dries or dwells.

    Drying goes on in real time, nights count. `after` names the steps of the same piece that must be done and dry
    first. A step that `takes_place` is a coat and holds one drying place from its beginning until it is dry. `colour`
    is what is sprayed; a spray step without one is taken to be of a colour of its own. A step with `started_at` was
    begun then and stays fixed. One with `left_since` was begun then and left: it goes on before all that was not
    begun, what was begun first before the others. Nothing begins before `ready_at`, for instance because an earlier
    coat is still drying; and nothing with `held_by`, the sentence that says what it waits for, has a place at all.
    """

    key: str
    words: str
    active: int
    passive: int = 0
    after: tuple[str, ...] = ()
    sprays: bool = False
    takes_place: bool = False
    colour: str = ""
    started_at: int | None = None
    left_since: int | None = None
    ready_at: int = 0
    held_by: str = ""


@dataclass(frozen=True, slots=True)
class Job:
    """A piece to be worked on: `words` is its name, `weight` the cents it brings, 0 or more."""

    key: str
    words: str
    weight: int
    steps: tuple[PlanStep, ...]


@dataclass(frozen=True, slots=True)
class Window:
    """Free time from `start` until `end`."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Resources:
    """What the workshop has: places to dry on, corners to spray in.

    A corner stays taken for `spray_clear` minutes after a spray step, except for the same colour. `taken_until` are
    the minutes until which places are held now by coats that no step of the plan stands for.
    """

    drying_places: int = 4
    spray_corners: int = 1
    spray_clear: int = 30
    taken_until: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One step in the plan, by the keys of its piece and of itself: worked on from `start` to `end`, then drying."""

    job: str
    step: str
    start: int
    end: int
    dry_at: int
    reason: str
    is_fixed: bool


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A step that has no place in the plan, and why. A piece without steps is left over with an empty step."""

    job: str
    step: str
    why: str


@dataclass(frozen=True, slots=True)
class Plan:
    """What is done when, in the order it is begun.

    `done_at` is when the last step of each piece is done and dry, None where a step is left over. `value` is what the
    search makes small: cents times minutes, each piece at the minute it is done, or after all others where something
    of it is left over. `set_ups` counts how often a corner was set up for spraying, `evaluations` how many plans were
    really tried.
    """

    lines: tuple[PlanLine, ...]
    left_over: tuple[LeftOver, ...]
    done_at: Mapping[str, int | None]
    value: int
    set_ups: int
    evaluations: int
