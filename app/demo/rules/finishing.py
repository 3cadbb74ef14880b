"""The rows of the demo's files that tell of recipes, labels, surfaces and finishes as done, and of the bench."""

from dataclasses import dataclass

from app.demo.rules.cells import Cents, Clock, Day, Hundredths, Percent, Quantity, Record, Wait
from app.recipes.rules import Aim, LeadTest, OldFinish, Part, Product, StepState, Task, Way


@dataclass(frozen=True, slots=True)
class LabelRecord(Record):
    """What the label of a material says; `spread` is in m2 a litre."""

    material: str
    day: Day
    product: Product | None
    recoat: Wait | None
    recoat_by: Wait | None
    handle: Wait | None
    cure: Wait | None
    dwell: Wait | None
    spread: Hundredths | None


@dataclass(frozen=True, slots=True)
class RecipeRecord(Record):
    """A recipe, which the files name by its key, and the check the owner overruled for it where there is one."""

    recipe: str
    day: Day
    name: str
    note: str
    overruled_rule: str
    overruled_note: str


@dataclass(frozen=True, slots=True)
class RecipeStepRecord(Record):
    """A step of a recipe as it was first written; one with a `changed_day` takes the place of number `step` then."""

    recipe: str
    step: int
    changed_day: Day | None
    task: Task
    part: Part
    aim: Aim | None
    product: Product | None
    material: str
    colour: str
    ratio: str
    thin: Percent | None
    grit: int | None
    coats: int
    way: Way | None
    dwell: Wait | None
    recoat: Wait | None
    active: int | None
    note: str
    caution: str


@dataclass(frozen=True, slots=True)
class SurfaceRecord(Record):
    """What a piece had on it when it was looked over; `seen` are words of the ledger, parted by semicolons."""

    piece: str
    day: Day
    old_finish: OldFinish
    seen: tuple[str, ...]
    lead_test: LeadTest
    note: str


@dataclass(frozen=True, slots=True)
class BegunFinishRecord(Record):
    """A finish begun on a piece, by a recipe or `like` another finish; stopped again where it says so.

    `paint` is the material its coats of paint are made with.
    """

    finish: str
    piece: str
    day: Day
    recipe: str
    like: str
    part: Part | None
    name: str
    paint: str
    redo_of: str
    made_for: str
    stopped_day: Day | None
    stopped_reason: str


@dataclass(frozen=True, slots=True)
class FinishStepRecord(Record):
    """A step of a finish that was done, left out or begun: on the evening of a day, or so long `ago`.

    `step` is its number, one for each coat. `at` is the time of that day it was done at, where it was not the evening.
    `material`, `colour`, `aim` and `ratio` are what was otherwise than planned, the colour that which shows; degrees
    are Celsius.
    """

    finish: str
    step: int
    day: Day | None
    ago: Wait | None
    state: StepState
    at: Clock | None
    minutes: int | None
    material: str
    colour: str
    aim: Aim | None
    ratio: str
    used: Quantity | None
    degrees: int | None
    humidity: int | None
    because: str
    note: str


@dataclass(frozen=True, slots=True)
class UsualHoursRecord(Record):
    """The spells the owner has for the bench on a day of the week, as they are typed."""

    weekday: str
    spells: str


@dataclass(frozen=True, slots=True)
class WorkshopRecord(Record):
    """What the workshop has: places to dry, and how long the spray corner stays taken after a coat."""

    drying_places: int
    spray_clear: Wait


@dataclass(frozen=True, slots=True)
class ExpectationRecord(Record):
    """What a piece is expected to bring, as the owner says from a day on."""

    piece: str
    day: Day
    brings: Cents
