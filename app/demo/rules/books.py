"""The rows of the demo's files that tell of the shelf, trips, write-downs and the closing of months."""

from dataclasses import dataclass

from app.costs.rules import CostKind
from app.demo.rules.cells import Cents, Day, Percent, Quantity, Record
from app.shelf.rules import MaterialClass, Unit
from app.trips.rules import CountsAs, TripPurpose


@dataclass(frozen=True, slots=True)
class MaterialRecord(Record):
    """A material that stands on the shelf from a day on; the files name it by its key."""

    material: str
    day: Day
    name: str
    klass: MaterialClass
    unit: Unit
    colour: str
    sheen: str
    volume_solids: Percent | None
    reorder: Quantity | None


@dataclass(frozen=True, slots=True)
class ShelfPurchaseRecord(Record):
    """A quantity bought for the shelf, or taken off a piece at a value where one is named."""

    material: str
    day: Day
    from_piece: str
    quantity: Quantity
    price: Cents
    sales_tax: Cents
    bought_at: str
    note: str


@dataclass(frozen=True, slots=True)
class ShelfUseRecord(Record):
    """A quantity used on a piece, or by the shop where none is named; struck out again where it says so."""

    material: str
    day: Day
    piece: str
    quantity: Quantity
    note: str
    struck_day: Day | None
    struck_reason: str


@dataclass(frozen=True, slots=True)
class ShelfCountRecord(Record):
    """What was really there when it was counted."""

    material: str
    day: Day
    counted: Quantity
    note: str


@dataclass(frozen=True, slots=True)
class RateRecord(Record):
    """A rate of the shop's own for a mile, from a day to a day, entered on a day of its own."""

    day: Day
    from_day: Day
    until_day: Day
    rate: Cents
    source: str


@dataclass(frozen=True, slots=True)
class TripRecord(Record):
    """A trip for any number of pieces, parted by semicolons; a whole number of miles; struck out where it says so."""

    pieces: tuple[str, ...]
    day: Day
    purpose: TripPurpose
    words: str
    from_place: str
    to_place: str
    miles: int
    counts_as: CountsAs
    by_value: bool
    extra: Cents
    actual: Cents
    note: str
    struck_day: Day | None
    struck_reason: str


@dataclass(frozen=True, slots=True)
class CarRecord(Record):
    """What the car ran in the year of a day, in miles, and since when it serves."""

    day: Day
    total: int
    commuting: int
    in_service_day: Day


@dataclass(frozen=True, slots=True)
class WriteDownRecord(Record):
    """What a piece was expected to bring from a day on, where that changed what it stands at."""

    piece: str
    day: Day
    price_expected: Cents
    finish: Cents
    sell: Cents
    reason: str


@dataclass(frozen=True, slots=True)
class ClosingRecord(Record):
    """A day on which every month was closed that had ended so many days before, or more."""

    day: Day
    ended_days: int


@dataclass(frozen=True, slots=True)
class CorrectionRecord(Record):
    """What a cost line of a closed month, found by its piece, day and kind, should have been."""

    day: Day
    piece: str
    cost_day: Day
    kind: CostKind
    amount: Cents
    reason: str
