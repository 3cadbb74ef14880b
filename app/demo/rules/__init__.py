"""The rows of the demo's files as they are told, in whole cents and in days before the day of loading."""

from dataclasses import dataclass, fields
from enum import IntEnum, auto

from app.basics.quantities import Units
from app.costs.rules import CostKind
from app.demo.rules.books import (
    CarRecord,
    ClosingRecord,
    CorrectionRecord,
    MaterialRecord,
    RateRecord,
    ShelfCountRecord,
    ShelfPurchaseRecord,
    ShelfUseRecord,
    TripRecord,
    WriteDownRecord,
)
from app.demo.rules.cells import CannotLoad, Cents, Day, Percent, Record
from app.demo.rules.selling import (
    ChannelFeeRecord,
    DepositRecord,
    RefundRecord,
    ReturnRecord,
    SaleRecord,
    TaxRateRecord,
)
from app.pieces.rules import Age, Condition, Form, Leaving, SplitMethod, Stage
from app.timelog.rules import Activity

__all__ = [
    "FILES",
    "CannotLoad",
    "CarRecord",
    "Cents",
    "ChannelFeeRecord",
    "ChannelRecord",
    "ClosingRecord",
    "CorrectionRecord",
    "CostRecord",
    "Day",
    "DepositRecord",
    "FinishRecord",
    "HaulRecord",
    "HoldRecord",
    "LeavingRecord",
    "ListingRecord",
    "MaterialRecord",
    "NextNoteRecord",
    "Percent",
    "PieceRecord",
    "PriceRecord",
    "RateRecord",
    "Record",
    "RefundRecord",
    "ReturnRecord",
    "SaleRecord",
    "ShelfCountRecord",
    "ShelfPurchaseRecord",
    "ShelfUseRecord",
    "ShopRecord",
    "SourceRecord",
    "SplitRecord",
    "StepRecord",
    "Story",
    "TaxRateRecord",
    "TimeRecord",
    "TripRecord",
    "Turn",
    "WriteDownRecord",
    "require_sound_story",
    "where",
]


class Turn(IntEnum):
    """In which order the rows of one day are entered, so that each finds what it stands on."""

    SHOP = auto()
    SOURCE = auto()
    CHANNEL = auto()
    CHANNEL_FEE = auto()
    TAX_RATE = auto()
    HAUL = auto()
    PIECE = auto()
    RETURN = auto()
    COMING_BACK = auto()
    RATE = auto()
    MATERIAL = auto()
    SHELF_PURCHASE = auto()
    SHELF_USE = auto()
    SHELF_COUNT = auto()
    COST = auto()
    TRIP = auto()
    TIME = auto()
    STEP = auto()
    FINISH = auto()
    SPLIT = auto()
    LISTING = auto()
    PRICE = auto()
    HOLD = auto()
    DEPOSIT = auto()
    DEPOSIT_END = auto()
    LIFTED_HOLD = auto()
    SALE = auto()
    REFUND = auto()
    LEAVING = auto()
    WRITE_DOWN = auto()
    STRUCK_COST = auto()
    STRUCK_TRIP = auto()
    STRUCK_TIME = auto()
    NEXT_NOTE = auto()
    STRUCK_USE = auto()
    CAR = auto()
    CLOSING = auto()
    CORRECTION = auto()


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
class ChannelRecord(Record):
    """A kind of place where pieces are offered, with what it takes of a sale."""

    channel: str
    percent: Percent
    fixed_fee: Cents


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
class ListingRecord(Record):
    """A piece put on the floor at a price; its channels stand in one cell, parted by semicolons."""

    piece: str
    day: Day
    asking: Cents
    channels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PriceRecord(Record):
    """Another price asked from a day on."""

    piece: str
    day: Day
    asking: Cents
    note: str


@dataclass(frozen=True, slots=True)
class HoldRecord(Record):
    """A piece kept back for somebody until a day; lifted by hand, by the sale, or not yet."""

    piece: str
    day: Day
    held_for: str
    until_day: Day
    note: str
    lifted_day: Day | None


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


@dataclass(frozen=True, slots=True)
class Story:
    """All the files, each named like its field and read in the order of its lines."""

    shop: tuple[ShopRecord, ...]
    sources: tuple[SourceRecord, ...]
    channels: tuple[ChannelRecord, ...]
    hauls: tuple[HaulRecord, ...]
    pieces: tuple[PieceRecord, ...]
    steps: tuple[StepRecord, ...]
    finishes: tuple[FinishRecord, ...]
    next_notes: tuple[NextNoteRecord, ...]
    costs: tuple[CostRecord, ...]
    materials: tuple[MaterialRecord, ...]
    shelf_purchases: tuple[ShelfPurchaseRecord, ...]
    shelf_uses: tuple[ShelfUseRecord, ...]
    shelf_counts: tuple[ShelfCountRecord, ...]
    rates: tuple[RateRecord, ...]
    trips: tuple[TripRecord, ...]
    cars: tuple[CarRecord, ...]
    times: tuple[TimeRecord, ...]
    listings: tuple[ListingRecord, ...]
    prices: tuple[PriceRecord, ...]
    holds: tuple[HoldRecord, ...]
    sales: tuple[SaleRecord, ...]
    returns: tuple[ReturnRecord, ...]
    leavings: tuple[LeavingRecord, ...]
    splits: tuple[SplitRecord, ...]
    write_downs: tuple[WriteDownRecord, ...]
    channel_fees: tuple[ChannelFeeRecord, ...]
    tax_rates: tuple[TaxRateRecord, ...]
    deposits: tuple[DepositRecord, ...]
    refunds: tuple[RefundRecord, ...]
    closings: tuple[ClosingRecord, ...]
    corrections: tuple[CorrectionRecord, ...]


FILES = tuple(field.name for field in fields(Story))
"""The files of the demo, without their ending."""


def where(file: str, line: int) -> str:
    """How a message names a place in a file."""
    return f"{file}.csv, line {line}"


def require_sound_story(story: Story) -> None:
    """Refuse a story without exactly one shop, a key told twice or never, or a piece that came in two ways.

    Each is a CannotLoad.
    """
    if len(story.shop) != 1:
        raise CannotLoad(f"shop.csv holds {len(story.shop)} shops; it must hold one.")
    _require_once("pieces", [(piece.line, piece.piece) for piece in story.pieces])
    _require_once("hauls", [(haul.line, haul.haul) for haul in story.hauls])
    hauls = {haul.haul for haul in story.hauls}
    for piece in story.pieces:
        if piece.haul and piece.haul not in hauls:
            raise CannotLoad(f"{where('pieces', piece.line)}: there is no haul {piece.haul}.")
        was_bought = bool(piece.price or piece.premium or piece.sales_tax)
        if piece.haul and (was_bought or piece.source or piece.opening_stage):
            raise CannotLoad(
                f"{where('pieces', piece.line)}: what came in a haul has its price and its source from there."
            )
        if piece.opening_stage and was_bought:
            raise CannotLoad(f"{where('pieces', piece.line)}: opening stock has an opening cost and no price.")


def _require_once(file: str, keys: list[tuple[int, str]]) -> None:
    seen: dict[str, int] = {}
    for line, key in keys:
        if key in seen:
            raise CannotLoad(f"{where(file, line)}: {key} stands on line {seen[key]} already.")
        seen[key] = line
