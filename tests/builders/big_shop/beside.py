"""What stands beside the lives of pieces: the shelf, trips, the shop's own costs, corrections."""

from collections.abc import Sequence
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

from app.basics.money import half_up, split_exactly
from app.costs.models import Adjustment, CostLine
from app.costs.rules import SHOP_KINDS, AdjustedPart
from app.pieces.models import Purchase
from app.sales.models import Sale
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import ChargeKind, MaterialClass, Unit
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, DistanceUnit, TripPurpose
from tests.builders.big_shop.rows import Row, Rows, moment

Work = tuple[date, int]

MATERIALS = 40
CENTS_PER_MILE = 60
CAN = 5_000_000


def stock_the_shelf(rows: Rows, work: Sequence[Work]) -> None:
    """Materials bought whenever they run low, used on pieces in the order of days, and counted each year."""
    shelves = [_Shelf(rows, number) for number in range(MATERIALS)]
    year = 0
    for day, piece_id in sorted(work):
        if day.year != year:
            year = day.year
            for shelf in shelves:
                shelf.count(min(day, date(year, 1, 1)))
        rows.chance.choice(shelves).use(day, None if rows.happens(0.02) else piece_id)


class _Shelf:
    """One material and its moving average."""

    def __init__(self, rows: Rows, number: int) -> None:
        self.rows, self.quantity, self.value, self.last = rows, 0, 0, date.min
        told: dict[str, Any] = {"version": 1, "name": f"Material {number}", "klass": MaterialClass.PAINT}
        told |= {"unit": Unit.ML, "colour": None, "sheen": "", "volume_solids_hundredths": None, "note": ""}
        told |= {"reorder_milli": None, "is_put_away": False, "made_at": moment(date(2020, 12, 1))}
        self.material = rows.add(Material, **told)

    def buy(self, on: date, quantity: int = CAN, from_piece: int | None = None, price: int | None = None) -> None:
        told: dict[str, Any] = {"material_id": self.material["id"], "from_piece_id": from_piece, "on_date": on}
        told |= {"quantity_milli": quantity, "tax_cents": 0 if from_piece else self.rows.chance.randrange(0, 400)}
        told |= {"price_cents": price or self.rows.chance.randrange(1_500, 9_000), "bought_at": "", "note": ""}
        bought = self.rows.captured(ShelfPurchase, on, **told, receipt_photo_id=None)
        self.quantity += quantity
        self.value += bought["price_cents"] + bought["tax_cents"]

    def use(self, on: date, piece_id: int | None) -> None:
        wanted = self.rows.chance.randrange(50_000, 900_000)
        if on == self.last or self.quantity < wanted:
            # Within a day purchases come first: a day that already had a use buys nothing more.
            if on == self.last:
                return
            self.buy(on)
        if self.rows.happens(0.01) and piece_id is not None:
            self.buy(on, 1_000, piece_id, self.rows.chance.randrange(50, 300))
        told = {"material_id": self.material["id"], "piece_id": piece_id, "on_date": on, "quantity_milli": wanted}
        use = self.rows.captured(ShelfUse, on, **told, note="")
        self.charge(ChargeKind.USE, on, wanted, piece_id, use_id=use["id"])

    def count(self, on: date) -> None:
        if on <= self.last or self.quantity <= 1_000:
            return
        missing = self.rows.chance.randrange(-self.quantity // 20, self.quantity // 10)
        told = {"material_id": self.material["id"], "on_date": on, "counted_milli": self.quantity - missing}
        count = self.rows.captured(ShelfCount, on, **told, note="")
        self.charge(ChargeKind.COUNT, on, missing, None, count_id=count["id"])

    def charge(self, kind: ChargeKind, on: date, quantity: int, piece_id: int | None, **of: int) -> None:
        cents = half_up(Fraction(self.value * quantity, self.quantity)) if self.quantity else 0
        self.quantity -= quantity
        self.value -= cents
        self.last = on
        told: dict[str, Any] = {"use_id": None, "purchase_id": None, "count_id": None, **of}
        told |= {"material_id": self.material["id"], "kind": kind, "piece_id": piece_id, "on_date": on}
        self.rows.add(ShelfCharge, **told, quantity_milli=quantity, short_milli=0, cents=cents)


def make_trips(rows: Rows, work: Sequence[Work], share: float) -> None:
    """Trips for pieces that were being worked on, at the rate or at cost, and some for no piece at all."""
    in_order = sorted(work)
    for place in range(len(in_order)):
        if not rows.happens(share):
            continue
        day = in_order[place][0]
        near = {piece for _, piece in in_order[max(0, place - rows.chance.randint(0, 4)) : place + 1]}
        _trip(rows, day, [] if rows.happens(0.2) else sorted(near))


def _trip(rows: Rows, on: date, pieces: list[int]) -> None:
    counts_as = rows.chance.choice(list(CountsAs))
    at_rate = counts_as is CountsAs.RATE
    miles = rows.chance.randrange(200, 9_000)
    extra = rows.chance.choice((0, 0, 350)) if at_rate else 0
    actual = 0 if at_rate else rows.chance.randrange(300, 5_000)
    charged = (half_up(Fraction(miles * CENTS_PER_MILE, 100)) if at_rate else actual) + extra
    told: dict[str, Any] = {"on_date": on, "purpose": rows.chance.choice(list(TripPurpose)), "purpose_words": "fetch"}
    told |= {"from_place": "home", "to_place": "barn", "distance_hundredths": miles, "distance_unit": DistanceUnit.MILE}
    told |= {"counts_as": counts_as, "rate_hundredths": CENTS_PER_MILE * 100 if at_rate else None}
    told |= {"rate_unit": DistanceUnit.MILE if at_rate else None, "extra_cents": extra, "actual_cents": actual}
    told |= {"charged_cents": charged, "by_value": False, "note": "", "receipt_photo_id": None}
    trip = rows.captured(Trip, on, **told)
    for piece_id, cents in zip(pieces, split_exactly(charged, [1] * len(pieces)) if pieces else (), strict=True):
        rows.of[TripPiece].append({"trip_id": trip["id"], "piece_id": piece_id, "weight": 1, "cents": cents})


def run_the_shop(rows: Rows, first: date, last: date, *, every_days: int) -> None:
    """The shop's own cost lines, one every so many days."""
    day = first
    while day <= last:
        told: dict[str, Any] = {"piece_id": None, "kind": rows.chance.choice(SHOP_KINDS), "on_date": day}
        told |= {"amount_cents": rows.chance.randrange(500, 20_000), "bought_at": "", "note": "for the shop"}
        rows.captured(CostLine, day, **told, receipt_photo_id=None)
        day += timedelta(days=every_days)


def put_right(rows: Rows, closed: date, last: date, share: float) -> None:
    """Corrections of purchases, sales and the shop's cost lines of closed months, dated some months later."""
    for row in rows.of[Purchase]:
        if rows.happens(share) and row["struck_at"] is None:
            _adjust(rows, (closed, last), ("purchase", row, row["on_date"]), AdjustedPart.COST, row["piece_id"])
    for row in rows.of[Sale]:
        if rows.happens(share):
            parts = (AdjustedPart.PRICE, AdjustedPart.FEES, AdjustedPart.TAX, AdjustedPart.DELIVERY_PAID)
            _adjust(rows, (closed, last), ("sale", row, row["sold_on"]), rows.chance.choice(parts), row["piece_id"])
    for row in rows.of[CostLine]:
        if row["piece_id"] is None and rows.happens(share):
            _adjust(rows, (closed, last), ("cost_line", row, row["on_date"]), AdjustedPart.SHOP_COST, None)


def _adjust(
    rows: Rows, until: tuple[date, date], corrected: tuple[str, Row, date], part: AdjustedPart, piece_id: int | None
) -> None:
    table, row, on = corrected
    day = on + rows.some_days(40, 300)
    if on > until[0] or day > until[1]:
        return
    told: dict[str, Any] = {"piece_id": piece_id, "part": part, "on_date": day, "corrects_table": table}
    told |= {"cents": rows.chance.choice((-150, 175)), "corrects_id": row["id"], "corrects_on": on}
    rows.captured(Adjustment, day, **told, reason="read again")
