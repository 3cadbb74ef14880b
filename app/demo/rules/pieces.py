"""The rows of the demo's files that tell of the shop, its pieces, and what was done to them and spent on them."""

from dataclasses import dataclass

from app.basics.quantities import Units
from app.costs.rules import CostKind
from app.demo.rules.cells import Cents, Day, Record
from app.photos.rules import Shows
from app.pieces.rules import Age, Condition, Form, Leaving, SplitMethod, Stage
from app.timelog.rules import Activity


@dataclass(frozen=True, slots=True)
class ShopRecord(Record):
    """The shop; its time zone is given by whoever loads it."""

    name: str
    currency: str
    units: Units
    started_day: Day
    sits_too_long_days: int


@dataclass(frozen=True, slots=True)
class SourceRecord(Record):
    """A kind of place where pieces are found."""

    source: str
    is_free: bool


@dataclass(frozen=True, slots=True)
class HaulRecord(Record):
    """Several pieces bought for one price; the pieces name it."""

    haul: str
    day: Day
    source: str
    price: Cents
    premium: Cents
    sales_tax: Cents
    split: SplitMethod
    note: str


@dataclass(frozen=True, slots=True)
class PieceRecord(Record):
    """A piece and how it came: by itself, in a haul, or owned when the shop began."""

    piece: str
    day: Day
    source: str
    haul: str
    price: Cents
    premium: Cents
    sales_tax: Cents
    guess: Cents | None
    by_hand: Cents | None
    opening_stage: Stage | None
    opening_cost: Cents
    form: Form
    title: str
    count: int
    width_mm: int | None
    depth_mm: int | None
    height_mm: int | None
    condition: Condition | None
    materials: str
    age: Age
    year: int | None
    notes: str


@dataclass(frozen=True, slots=True)
class StepRecord(Record):
    """A move by hand; a reason makes it a step back."""

    piece: str
    day: Day
    to_stage: Stage
    reason: str


@dataclass(frozen=True, slots=True)
class FinishRecord(Record):
    """The finish a piece has from a day on: its colour as #rrggbb, where it has one, and words for it."""

    piece: str
    day: Day
    colour: str
    words: str


@dataclass(frozen=True, slots=True)
class PhotoRecord(Record):
    """A photo of a piece, drawn in plain shapes when it is loaded: its wood or paint as #rrggbb, and its caption."""

    piece: str
    day: Day
    shows: Shows
    colour: str
    caption: str


@dataclass(frozen=True, slots=True)
class NextNoteRecord(Record):
    """What is to be done next on a piece."""

    piece: str
    day: Day
    words: str


@dataclass(frozen=True, slots=True)
class CostRecord(Record):
    """Money spent on a piece, or on the shop where no piece is named; struck out again where it says so."""

    piece: str
    day: Day
    kind: CostKind
    amount: Cents
    bought_at: str
    note: str
    struck_day: Day | None
    struck_reason: str


@dataclass(frozen=True, slots=True)
class TimeRecord(Record):
    """Minutes worked on a piece, or for the shop where no piece is named; struck out again where it says so."""

    piece: str
    day: Day
    activity: Activity
    minutes: int
    note: str
    struck_day: Day | None
    struck_reason: str


@dataclass(frozen=True, slots=True)
class LeavingRecord(Record):
    """A piece that left without a sale, and its coming back where it did."""

    piece: str
    day: Day
    how: Leaving
    reason: str
    back_day: Day | None
    back_reason: str


@dataclass(frozen=True, slots=True)
class SplitRecord(Record):
    """One part of a set taken apart: the rows of one piece and day belong together, the first stays that piece."""

    piece: str
    day: Day
    part: str
    title: str
    count: int
    worth: Cents | None
