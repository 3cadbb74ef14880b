"""The rows of the demo's files as they are told, in whole cents and in days before the day of loading."""

from dataclasses import dataclass, fields
from enum import IntEnum, auto

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
from app.demo.rules.finishing import (
    BegunFinishRecord,
    ExpectationRecord,
    FinishStepRecord,
    LabelRecord,
    RecipeRecord,
    RecipeStepRecord,
    SurfaceRecord,
    UsualHoursRecord,
    WorkshopRecord,
)
from app.demo.rules.phone import CaptureRecord, PiledPhotoRecord, View
from app.demo.rules.pieces import (
    CostRecord,
    FinishRecord,
    HaulRecord,
    LeavingRecord,
    NextNoteRecord,
    PhotoRecord,
    PieceRecord,
    ShopRecord,
    SourceRecord,
    SplitRecord,
    StepRecord,
    TimeRecord,
)
from app.demo.rules.selling import (
    ChannelFeeRecord,
    ChannelRecord,
    DepositRecord,
    HoldRecord,
    ListingRecord,
    PriceRecord,
    RefundRecord,
    ReturnRecord,
    SaleRecord,
    TaxRateRecord,
    WordingRecord,
)

__all__ = [
    "FILES",
    "BegunFinishRecord",
    "CannotLoad",
    "CaptureRecord",
    "CarRecord",
    "Cents",
    "ChannelFeeRecord",
    "ChannelRecord",
    "ClosingRecord",
    "CorrectionRecord",
    "CostRecord",
    "Day",
    "DepositRecord",
    "ExpectationRecord",
    "FinishRecord",
    "FinishStepRecord",
    "HaulRecord",
    "HoldRecord",
    "LabelRecord",
    "LeavingRecord",
    "ListingRecord",
    "MaterialRecord",
    "NextNoteRecord",
    "Percent",
    "PhotoRecord",
    "PieceRecord",
    "PiledPhotoRecord",
    "PriceRecord",
    "RateRecord",
    "RecipeRecord",
    "RecipeStepRecord",
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
    "SurfaceRecord",
    "TaxRateRecord",
    "TimeRecord",
    "TripRecord",
    "Turn",
    "UsualHoursRecord",
    "View",
    "WordingRecord",
    "WorkshopRecord",
    "WriteDownRecord",
    "require_sound_story",
    "where",
]


class Turn(IntEnum):
    """In which order the rows of one day are entered, so that each finds what it stands on."""

    SHOP = auto()
    USUAL_HOURS = auto()
    WORKSHOP = auto()
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
    LABEL = auto()
    RECIPE = auto()
    RECIPE_CHANGE = auto()
    SURFACE = auto()
    SHELF_PURCHASE = auto()
    SHELF_USE = auto()
    STOPPED_FINISH = auto()
    BEGUN_FINISH = auto()
    FINISH_STEP = auto()
    SHELF_COUNT = auto()
    COST = auto()
    TRIP = auto()
    TIME = auto()
    CAPTURE = auto()
    PILED_PHOTO = auto()
    STEP = auto()
    FINISH = auto()
    PHOTO = auto()
    SPLIT = auto()
    LISTING = auto()
    WORDING = auto()
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
    EXPECTATION = auto()


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
    photos: tuple[PhotoRecord, ...]
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
    labels: tuple[LabelRecord, ...]
    recipes: tuple[RecipeRecord, ...]
    recipe_steps: tuple[RecipeStepRecord, ...]
    surfaces: tuple[SurfaceRecord, ...]
    finishes_begun: tuple[BegunFinishRecord, ...]
    finish_steps: tuple[FinishStepRecord, ...]
    usual_hours: tuple[UsualHoursRecord, ...]
    workshop: tuple[WorkshopRecord, ...]
    expectations: tuple[ExpectationRecord, ...]
    captures: tuple[CaptureRecord, ...]
    pile: tuple[PiledPhotoRecord, ...]
    wordings: tuple[WordingRecord, ...]


FILES = tuple(field.name for field in fields(Story))
"""The files of the demo, without their ending."""


def where(file: str, line: int) -> str:
    """How a message names a place in a file."""
    return f"{file}.csv, line {line}"


def require_sound_story(story: Story) -> None:
    """Refuse a story without exactly one shop, a key told twice or never, a piece that came in two ways, a step done
    without a time or at two.

    Each is a CannotLoad.
    """
    if len(story.shop) != 1:
        raise CannotLoad(f"shop.csv holds {len(story.shop)} shops; it must hold one.")
    _require_once("pieces", [(piece.line, piece.piece) for piece in story.pieces])
    _require_once("hauls", [(haul.line, haul.haul) for haul in story.hauls])
    _require_once("recipes", [(recipe.line, recipe.recipe) for recipe in story.recipes])
    _require_once("finishes_begun", [(finish.line, finish.finish) for finish in story.finishes_begun])
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
    recipes = {recipe.recipe for recipe in story.recipes}
    for written in story.recipe_steps:
        if written.recipe not in recipes:
            raise CannotLoad(f"{where('recipe_steps', written.line)}: there is no recipe {written.recipe}.")
    for step in story.finish_steps:
        if (step.day is None) is (step.ago is None):
            raise CannotLoad(f"{where('finish_steps', step.line)}: say either the day or how long ago.")


def _require_once(file: str, keys: list[tuple[int, str]]) -> None:
    seen: dict[str, int] = {}
    for line, key in keys:
        if key in seen:
            raise CannotLoad(f"{where(file, line)}: {key} stands on line {seen[key]} already.")
        seen[key] = line
