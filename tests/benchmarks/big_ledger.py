"""A large, made-up ledger written in bulk: what the actions would have entered, without asking each of them.

Years of pieces with purchases, cost lines, materials from the shelf at moving average, trips, sales, returns, refunds
in part, deposits and pieces that left. `prove_ledger` holds on it; the benchmark asserts that.
"""

import random
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from typing import Any, Final
from uuid import UUID

from sqlalchemy import insert
from sqlalchemy.orm import Session

from app.basics.money import half_up, percent_of, split_exactly
from app.costs.models import CostLine
from app.costs.rules import PIECE_KINDS, SHOP_KINDS
from app.database.base import Base
from app.floor.models import AskingPrice, Channel, Listing
from app.pieces.models import LeavingRow, Piece, Purchase, Step
from app.pieces.rules import TAG_DIGITS, TAG_LETTERS, Age, Form, Leaving, PurchaseKind, Stage, StepKind, is_fit_tag
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.sales.rules import DepositEnding
from app.shelf.models import Material, ShelfCharge, ShelfPurchase, ShelfUse
from app.shelf.rules import ChargeKind, MaterialClass, MovingAverage, Unit
from app.shop.actions import set_up_shop
from app.timelog.models import TimeEntry
from app.timelog.rules import Activity
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, DistanceUnit, TripPurpose
from tests.conftest import SHOP

FIRST_DAY: Final = date(2021, 1, 4)
LAST_DAY: Final = date(2026, 11, 20)
MATERIALS: Final = 40
MONEY: Final = (Purchase, CostLine, ShelfPurchase, ShelfCharge, Trip, TripPiece, Sale, SaleReturn, SaleRefund, Deposit)

RATE: Final = 7000
"""Hundredths of a cent for a mile, made up; kept on each trip as the action keeps the rate of its day."""


@dataclass
class Rows:
    """Rows to be written, by table, each table counting its own ids."""

    chance: random.Random
    rows: dict[type[Base], list[dict[str, Any]]] = field(default_factory=lambda: defaultdict(list))

    def add(self, table: type[Base], **facts: Any) -> int:
        """Note a row and give the id it will have."""
        number = len(self.rows[table]) + 1
        self.rows[table].append({"id": number, **facts})
        return number

    def capture(self) -> str:
        """A capture number of its own."""
        return str(UUID(int=self.chance.getrandbits(128), version=4))

    def cents(self, low: int, high: int) -> int:
        """A made-up amount."""
        return self.chance.randrange(low, high)


def fill(session: Session, pieces: int) -> dict[str, int]:
    """Write the ledger and tell how many rows each table got."""
    rows = Rows(random.Random(pieces))  # noqa: S311 - made-up rows
    set_up_shop(session, replace(SHOP, started_on=FIRST_DAY), now=moment(FIRST_DAY))
    rows.add(Channel, version=2, name="local classifieds", percent_hundredths=500, fixed_cents=50, is_put_away=False)
    tags = _tags()
    span = (LAST_DAY - FIRST_DAY).days
    for number in range(pieces):
        _piece(rows, next(tags), FIRST_DAY + timedelta(days=span * number // pieces), number)
    _shelf(rows, pieces)
    _trips(rows, pieces)
    _shop_costs(rows, pieces)
    for table, found in rows.rows.items():
        if table is TripPiece:
            found = [{name: value for name, value in row.items() if name != "id"} for row in found]  # noqa: PLW2901
        session.execute(insert(table), found)
    return {table.__tablename__: len(found) for table, found in rows.rows.items()}


def _tags() -> Iterator[str]:
    letters = TAG_DIGITS + TAG_LETTERS
    for number in range(len(letters) ** 4):
        places = [number // len(letters) ** place % len(letters) for place in range(4)]
        tag = "".join(letters[place] for place in places)
        if is_fit_tag(tag):
            yield tag


def _piece(rows: Rows, tag: str, day: date, number: int) -> None:
    sold_on = day + timedelta(days=rows.cents(20, 160))
    is_sold = sold_on <= LAST_DAY and number % 33 != 7
    left_on = day + timedelta(days=30) if number % 33 == 7 and day + timedelta(days=30) <= LAST_DAY else None
    back_on = sold_on + timedelta(days=9) if is_sold and number % 50 == 3 else None
    if back_on and back_on > LAST_DAY:
        back_on = None
    stage = Stage.SOLD if is_sold and not back_on else Stage.FINISHED if back_on else Stage.SOURCED
    left = Leaving.SCRAPPED if left_on and number % 2 else Leaving.KEPT if left_on else None
    piece = rows.add(
        Piece,
        version=1,
        capture_id=rows.capture(),
        tag=tag,
        form=list(Form)[number % 16],
        count=1,
        title=f"Piece number {number}",
        folded=f"piece number {number} {tag}",
        age=Age.UNKNOWN,
        materials="",
        notes="",
        finish_words="",
        next_note="",
        stage=stage,
        sourced_on=day,
        stage_since=back_on or (sold_on if is_sold else left_on or day),
        left_as=left,
        made_at=moment(day),
    )
    _bought(rows, piece, day)
    _worked(rows, piece, day, min(sold_on, LAST_DAY))
    _step(rows, piece, StepKind.START, (None, Stage.SOURCED), day)
    if left_on and left:
        _step(rows, piece, StepKind.OUT, (Stage.SOURCED, Stage.SOURCED), left_on)
        rows.add(LeavingRow, piece_id=piece, how=left, on_date=left_on, reason="", made_at=moment(left_on))
    if is_sold:
        _sold(rows, piece, day, sold_on, back_on)


def _bought(rows: Rows, piece: int, day: date) -> None:
    price = rows.cents(500, 14_000)
    rows.add(
        Purchase,
        piece_id=piece,
        kind=PurchaseKind.BOUGHT,
        on_date=day,
        price_cents=price,
        premium_cents=price // 10 if piece % 3 == 0 else 0,
        tax_cents=price // 20,
        made_at=moment(day),
    )


def _worked(rows: Rows, piece: int, day: date, until: date) -> None:
    for later in range(8):
        on = min(day + timedelta(days=2 * later), until)
        rows.add(CostLine, **_cost(rows, piece, PIECE_KINDS[later % 5], on, 3_000))
    for later in range(3):
        on = min(day + timedelta(days=3 * later), until)
        entry = {"piece_id": piece, "activity": Activity.SANDING, "on_date": on, "minutes": rows.cents(10, 90)}
        rows.add(TimeEntry, capture_id=rows.capture(), note="", made_at=moment(on), **entry)


def _cost(rows: Rows, piece: int | None, kind: Any, on: date, most: int) -> dict[str, Any]:
    return {
        "capture_id": rows.capture(),
        "piece_id": piece,
        "kind": kind,
        "amount_cents": rows.cents(100, most),
        "on_date": on,
        "bought_at": "",
        "note": "",
        "made_at": moment(on),
    }


def _step(rows: Rows, piece: int, kind: StepKind, way: tuple[Stage | None, Stage], on: date) -> None:
    was, to = way
    told = {"piece_id": piece, "kind": kind, "from_stage": was, "to_stage": to, "on_date": on}
    rows.add(Step, reason="it wobbles" if kind is StepKind.RETURN else "", made_at=moment(on), **told)


def _sold(rows: Rows, piece: int, day: date, on: date, back_on: date | None) -> None:
    listed_on = day + timedelta(days=15)
    ended = {"ended_on": on, "ended_by": "sale"}
    listing = rows.add(Listing, piece_id=piece, listed_on=listed_on, made_at=moment(listed_on), **ended)
    asked = rows.cents(8_000, 40_000)
    rows.add(AskingPrice, listing_id=listing, on_date=listed_on, cents=asked, note="", made_at=moment(listed_on))
    _step(rows, piece, StepKind.FORWARD, (Stage.SOURCED, Stage.LISTED), listed_on)
    _step(rows, piece, StepKind.SALE, (Stage.LISTED, Stage.SOLD), on)
    delivery = 3_000 if piece % 4 == 0 else 0
    fees = percent_of(asked, 500) + 50
    sale = rows.add(
        Sale,
        capture_id=rows.capture(),
        piece_id=piece,
        listing_id=listing,
        channel_id=1,
        sold_on=on,
        price_cents=asked,
        delivery_charged_cents=delivery,
        delivery_paid_cents=delivery // 2,
        fees_cents=fees,
        tax_cents=percent_of(asked, 550),
        buyer_name="",
        note="",
        made_at=moment(on),
    )
    if back_on:
        _step(rows, piece, StepKind.RETURN, (Stage.SOLD, Stage.FINISHED), back_on)
        back = {"refund_cents": asked, "tax_refunded_cents": 0, "fees_back_cents": 0, "delivery_back_cents": 0}
        told = {"sale_id": sale, "returned_on": back_on, "reason": "it wobbles", "made_at": moment(back_on)}
        rows.add(SaleReturn, **back, **told)
    elif piece % 25 == 0:
        rows.add(
            SaleRefund,
            capture_id=rows.capture(),
            sale_id=sale,
            on_date=on,
            refund_cents=asked // 10,
            tax_refunded_cents=0,
            fees_back_cents=0,
            reason="a chip",
            made_at=moment(on),
        )
    if piece % 9 == 0:
        _deposit(rows, piece, sale, listed_on, on)


def _deposit(rows: Rows, piece: int, sale: int, taken_on: date, on: date) -> None:
    told = {"piece_id": piece, "payer": "a buyer", "on_date": taken_on, "amount_cents": 2_000, "note": ""}
    deposit = rows.add(Deposit, capture_id=rows.capture(), made_at=moment(taken_on), **told)
    end = {"deposit_id": deposit, "how": DepositEnding.APPLIED, "on_date": on, "cents": 2_000, "sale_id": sale}
    rows.add(DepositEnd, reason="", made_at=moment(on), **end)


def _shelf(rows: Rows, pieces: int) -> None:
    """Every material bought when it runs out and used on four pieces out of each forty, at its moving average."""
    for number in range(MATERIALS):
        rows.add(
            Material,
            version=1,
            name=f"Paint {number}",
            klass=MaterialClass.PAINT,
            unit=Unit.ML,
            sheen="",
            note="",
            is_put_away=False,
            made_at=moment(FIRST_DAY),
        )
    averages = [MovingAverage() for _ in range(MATERIALS)]
    for piece in rows.rows[Piece][:pieces]:
        for turn in range(4):
            _use(rows, averages, piece, (piece["id"] * 7 + turn * 11) % MATERIALS)


def _use(rows: Rows, averages: Sequence[MovingAverage], piece: dict[str, Any], place: int) -> None:
    average, on, quantity = averages[place], piece["sourced_on"], rows.cents(20, 200) * 1000
    told = {"material_id": place + 1, "on_date": on, "made_at": moment(on)}
    if average.quantity < quantity:
        bought, price = 3_785_000, rows.cents(2_000, 6_000)
        average.buy(bought, price + 100)
        paid = {"quantity_milli": bought, "price_cents": price, "tax_cents": 100, "bought_at": "", "note": ""}
        rows.add(ShelfPurchase, capture_id=rows.capture(), **paid, **told)
    use = rows.add(ShelfUse, capture_id=rows.capture(), piece_id=piece["id"], quantity_milli=quantity, note="", **told)
    cents = average.use(quantity)
    charge = {"material_id": place + 1, "kind": ChargeKind.USE, "use_id": use, "piece_id": piece["id"], "on_date": on}
    rows.add(ShelfCharge, quantity_milli=quantity, short_milli=0, cents=cents, **charge)


def _trips(rows: Rows, pieces: int) -> None:
    """One trip for every third piece: fetching at actual cost, or anything at the rate."""
    for piece in rows.rows[Piece][:pieces:3]:
        is_actual = piece["id"] % 5 == 0
        miles = rows.cents(200, 8_000)
        charged = 1_500 if is_actual else half_up(Fraction(miles * RATE, 100 * 100))
        on = piece["sourced_on"]
        trip = rows.add(
            Trip,
            capture_id=rows.capture(),
            on_date=on,
            purpose=TripPurpose.FETCH,
            purpose_words="fetched it",
            from_place="the garage",
            to_place="an estate sale",
            distance_hundredths=miles,
            note="",
            distance_unit=DistanceUnit.MILE,
            counts_as=CountsAs.ACTUAL if is_actual else CountsAs.RATE,
            rate_hundredths=None if is_actual else RATE,
            rate_unit=None if is_actual else DistanceUnit.MILE,
            extra_cents=0,
            actual_cents=charged if is_actual else 0,
            charged_cents=charged,
            by_value=False,
            made_at=moment(on),
        )
        both = [piece["id"], piece["id"] + 1] if piece["id"] < pieces else [piece["id"]]
        for piece_id, cents in zip(both, split_exactly(charged, [1] * len(both)), strict=True):
            rows.add(TripPiece, trip_id=trip, piece_id=piece_id, weight=1, cents=cents)


def _shop_costs(rows: Rows, pieces: int) -> None:
    span = (LAST_DAY - FIRST_DAY).days
    for number in range(pieces // 2):
        on = FIRST_DAY + timedelta(days=span * number * 2 // pieces)
        rows.add(CostLine, **_cost(rows, None, SHOP_KINDS[number % len(SHOP_KINDS)], on, 6_000))


def moment(day: date) -> datetime:
    """Noon of a day in the shop's zone."""
    return datetime(day.year, day.month, day.day, 18, tzinfo=UTC)
