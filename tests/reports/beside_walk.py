"""The same shop with a shelf, trips, deposits, refunds in part, write-downs, closed months and their corrections."""

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import Any, Final

from hypothesis import strategies as st
from hypothesis.stateful import initialize, invariant, precondition, rule
from sqlalchemy import Select, func, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.basics.dates import Month
from app.basics.errors import RuleError
from app.costs.models import Adjustment, CostLine
from app.costs.rules import PIECE_KINDS
from app.desk.actions import correct_closed_row, strike_correction, take_parts
from app.desk.queries import row_to_correct
from app.pieces.models import LeavingRow, Piece, Purchase, Transfer
from app.reports.actions import close_month, strike_write_down, write_down
from app.reports.models import WriteDown
from app.reports.queries import months_known, stock_of_piece
from app.reports.rules.writing_down import NewWriteDown
from app.sales.actions import end_deposit, record_refund, strike_deposit, strike_end, strike_refund, take_deposit
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.sales.rules import DepositEnding, NewDeposit, NewEnd, NewRefund
from app.shelf.actions import (
    add_material,
    buy_material,
    count_material,
    strike_count,
    strike_purchase,
    strike_use,
    use_material,
)
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import MaterialClass, MaterialFacts, NewCount, NewParts, NewPurchase, NewUse, Unit
from app.shop.models import ClosedMonth
from app.shop.queries import closed_through
from app.trips.actions import add_trip, strike_trip
from app.trips.models import Trip
from app.trips.rules import CountsAs, Distance, DistanceUnit, NewTrip, TripPurpose
from tests.conftest import NOW
from tests.reports.shop_walk import BEGINNING, TODAY, ShopWalk, amounts, days, picks

quantities = st.integers(1, 3_000_000)

JUNE: Final = Month.of(BEGINNING)

late_days = st.integers(0, 60).map(lambda number: TODAY - timedelta(days=number))

reached: Counter[str] = Counter()
"""How many rows of each kind the walks left behind."""

DAY_OF: Final[dict[Any, InstrumentedAttribute[date]]] = {
    Purchase: Purchase.on_date,
    CostLine: CostLine.on_date,
    Sale: Sale.sold_on,
    SaleReturn: SaleReturn.returned_on,
    SaleRefund: SaleRefund.on_date,
    ShelfPurchase: ShelfPurchase.on_date,
    ShelfUse: ShelfUse.on_date,
    Trip: Trip.on_date,
}

STRIKE: Final[dict[Any, Callable[..., object]]] = {
    ShelfPurchase: strike_purchase,
    ShelfUse: strike_use,
    ShelfCount: strike_count,
    Trip: strike_trip,
    SaleRefund: strike_refund,
    Deposit: strike_deposit,
    DepositEnd: strike_end,
    Adjustment: strike_correction,
    WriteDown: strike_write_down,
}


class BesideWalk(ShopWalk):
    """The acts of `ShopWalk`, and those that stand beside the pieces; `steps` counts all of them,
    `taken` those of this walk alone.

    Whatever is done, what counted in a closed month stays as it was: that is asked after every act.
    """

    steps = 0

    def __init__(self) -> None:
        super().__init__()
        self.taken = 0

    def act(self, deed: Callable[[], object]) -> None:
        """As before; and nothing dated in a closed month may have changed by it."""
        closed = closed_through(self.session)
        before = dated_up_to(self.session, closed.last) if closed else None
        super().act(deed)
        if closed:
            self.session.flush()
            assert dated_up_to(self.session, closed.last) == before

    @invariant()
    def count_the_step(self) -> None:
        type(self).steps += 1
        self.taken += 1

    @initialize(prices=st.lists(amounts, min_size=4, max_size=4), gone=st.integers(1, 3), closed=st.booleans())
    def open_the_shop(self, prices: list[int], gone: int, *, closed: bool) -> None:
        """Four pieces, some of them sold in June, and one of everything beside them, so that there is much to do."""
        for number, price in enumerate(prices):
            self.find(BEGINNING + timedelta(days=number), price, 500, 300, 2)
        june = BEGINNING + timedelta(days=12)
        self.take_a_deposit(3, june, 2_000)
        for number in range(gone):
            self.sell(number, 9, 9_000 + prices[number], (1_500, 1_200), (700, 600))
        for pick, cents in enumerate(prices[:2]):
            self.buy_for_the_shelf(pick, june, cents + 100, 1_500_000)
            self.use_from_the_shelf(pick, pick, june, 200_000, for_shop=False)
            self.spend(pick, june, cents + 1, PIECE_KINDS[pick])
        self.drive([0, 1], june, paid=(250, 1_310), how=(CountsAs.RATE, TripPurpose.FETCH, True), hundredths=1_310)
        self.drive([2], june, paid=(0, 990), how=(CountsAs.ACTUAL, TripPurpose.FETCH, False), hundredths=820)
        self.refund_in_part(0, june, (10, 10, 10))
        if closed:
            self.close_months()

    def material_id(self, pick: int) -> int:
        found = self.session.scalars(select(Material.id).order_by(Material.id)).all()
        if pick % 3 >= len(found):
            facts = MaterialFacts(f"Paint {len(found)}", MaterialClass.PAINT, Unit.EACH)
            return add_material(self.session, facts, now=NOW).id
        return found[pick % 3]

    def some_piece(self, pick: int) -> Piece | None:
        return self.piece(pick, Piece.struck_at.is_(None))

    @rule(pick=picks, on=days, cents=amounts, milli=quantities)
    def buy_for_the_shelf(self, pick: int, on: date, cents: int, milli: int) -> None:
        def deed() -> None:
            new = NewPurchase(self.material_id(pick), milli, cents, on, cents // 12)
            buy_material(self.session, new, capture_id=self.capture(), now=NOW)

        self.act(deed)

    @rule(pick=picks, which=picks, on=days, milli=quantities, for_shop=st.booleans())
    def use_from_the_shelf(self, pick: int, which: int, on: date, milli: int, *, for_shop: bool) -> None:
        piece = None if for_shop else self.some_piece(which)

        def deed() -> None:
            new = NewUse(self.material_id(pick), piece.id if piece else None, milli, on)
            use_material(self.session, new, capture_id=self.capture(), now=NOW)

        self.act(deed)

    @rule(pick=picks, on=days, milli=st.integers(0, 2_000_000))
    def count_the_shelf(self, pick: int, on: date, milli: int) -> None:
        def deed() -> None:
            new = NewCount(self.material_id(pick), milli, on)
            count_material(self.session, new, capture_id=self.capture(), now=NOW)

        self.act(deed)

    @rule(pick=picks, which=picks, on=days, cents=amounts)
    def take_parts_off(self, pick: int, which: int, on: date, cents: int) -> None:
        piece = self.some_piece(which)
        if piece is None:
            return

        def deed() -> None:
            value = min(cents, max(stock_of_piece(self.session, piece.id), 0))
            new = NewParts(self.material_id(pick), piece.id, 4_000, value, on)
            take_parts(self.session, new, new_name="", capture_id=self.capture(), now=NOW)

        self.act(deed)

    @rule(pick=picks, table=st.sampled_from(list(STRIKE)))
    def strike_beside(self, pick: int, table: Any) -> None:
        row = self.one_of(select(table).where(table.struck_at.is_(None)).order_by(table.id), pick)
        if row is not None:
            self.act(lambda: STRIKE[table](self.session, row.id, reason="misread", now=NOW))

    @rule(
        which=st.lists(picks, max_size=3),
        on=days,
        paid=st.tuples(amounts, amounts),
        how=st.tuples(st.sampled_from(CountsAs), st.sampled_from(TripPurpose), st.booleans()),
        hundredths=st.integers(1, 90_000),
    )
    def drive(
        self,
        which: list[int],
        on: date,
        *,
        paid: tuple[int, int],
        how: tuple[CountsAs, TripPurpose, bool],
        hundredths: int,
    ) -> None:
        found = (self.some_piece(pick) for pick in which)
        counts_as, purpose, by_value = how
        is_rate = counts_as is CountsAs.RATE
        new = NewTrip(
            on,
            purpose,
            "as the log asks",
            "the garage",
            "a sale",
            Distance(hundredths, DistanceUnit.MILE),
            counts_as,
            tuple({piece.id: None for piece in found if piece is not None}),
            by_value=by_value,
            extra_cents=paid[0] if is_rate else 0,
            actual_cents=0 if is_rate else paid[1],
        )
        self.act(lambda: add_trip(self.session, new, capture_id=self.capture(), now=NOW))

    @rule(pick=picks, on=days, cents=amounts.filter(bool))
    def take_a_deposit(self, pick: int, on: date, cents: int) -> None:
        piece = self.some_piece(pick)
        if piece is not None:
            new = NewDeposit(piece.id, "a neighbour", on, cents)
            self.act(lambda: take_deposit(self.session, new, capture_id=self.capture(), now=NOW))

    @rule(
        pick=picks,
        how=st.sampled_from([DepositEnding.REFUNDED, DepositEnding.KEPT]),
        on=late_days,
        share=st.integers(1, 100),
    )
    def end_a_deposit(self, pick: int, how: DepositEnding, on: date, share: int) -> None:
        deposit = self.one_of(select(Deposit).order_by(Deposit.id), pick)
        if deposit is not None:
            new = NewEnd(deposit.id, how, on, max(deposit.amount_cents * share // 100, 1), "as agreed")
            self.act(lambda: end_deposit(self.session, new, now=NOW))

    @rule(pick=picks, on=late_days, share=st.tuples(*(st.integers(0, 30) for _ in range(3))))
    def refund_in_part(self, pick: int, on: date, share: tuple[int, int, int]) -> None:
        sale = self.one_of(select(Sale).where(Sale.struck_at.is_(None)).order_by(Sale.id), pick)
        if sale is not None:
            whole = (sale.price_cents, sale.tax_cents, sale.fees_cents)
            cents, tax, fees = (amount * part // 100 for amount, part in zip(whole, share, strict=True))
            new = NewRefund(sale.id, on, cents, tax, fees, "a chip")
            self.act(lambda: record_refund(self.session, new, capture_id=self.capture(), now=NOW))

    @rule(pick=picks, on=days, brings=st.tuples(amounts, amounts, amounts))
    def write_a_piece_down(self, pick: int, on: date, brings: tuple[int, int, int]) -> None:
        piece = self.some_piece(pick)
        if piece is not None:
            new = NewWriteDown(piece.id, on, *brings, "it sits")
            self.act(lambda: write_down(self.session, new, capture_id=self.capture(), now=NOW))

    @rule()
    @precondition(lambda self: closed_through(self.session) != JUNE.next)
    def close_months(self) -> None:
        """All months through June; once those are closed, July."""
        closed = closed_through(self.session)
        last = JUNE if closed is None or closed < JUNE else JUNE.next
        month = closed.next if closed else months_known(self.session)[0]
        while month <= last:
            self.close(month)
            month = month.next

    def close(self, month: Month) -> None:
        self.act(lambda: close_month(self.session, month, now=NOW))

    @rule(pick=picks, table=st.sampled_from(list(DAY_OF)), on=late_days, cents=amounts)
    def correct_what_is_closed(self, pick: int, table: Any, on: date, cents: int) -> None:
        row = self.one_of(self.closed_rows(table), pick)
        if row is not None:
            self.act(lambda: self.correct(table.__tablename__, row.id, pick, on, cents))

    def closed_rows(self, table: Any) -> Select[Any]:
        closed = closed_through(self.session)
        last = closed.last if closed else date.min
        return select(table).where(table.struck_at.is_(None), DAY_OF[table] <= last).order_by(table.id)

    def correct(self, table: str, row_id: int, pick: int, on: date, cents: int) -> None:
        parts = [amount.part for amount in row_to_correct(self.session, table, row_id).amounts]
        if not parts:
            raise RuleError("It carries no amount.")
        told: dict[str, Any] = {"on_date": on, "reason": "misread", "capture_id": self.capture(), "now": NOW}
        correct_closed_row(self.session, table, row_id, {parts[pick % len(parts)]: cents}, **told)

    def teardown(self) -> None:
        """The walks got to where they were meant to go, often enough to mean something."""
        for table in (*DAY_OF, *STRIKE, ClosedMonth):
            reached[table.__name__] += self.session.scalar(select(func.count()).select_from(table)) or 0
        super().teardown()


def dated_up_to(session: Session, last: date) -> tuple[Any, ...]:
    """What the rows of money dated up to a day come to: how many count, and their cents."""
    return tuple(session.execute(select(*(_sum_of(*table, last) for table in _MONEY))).one())


_MONEY: Final[Sequence[tuple[Any, Any, Any]]] = (
    (Purchase.on_date, Purchase.price_cents + Purchase.premium_cents * 3 + Purchase.tax_cents * 7, Purchase),
    (CostLine.on_date, CostLine.amount_cents, CostLine),
    (Transfer.on_date, Transfer.cents, None),
    (Sale.sold_on, Sale.price_cents + Sale.id, Sale),
    (SaleReturn.returned_on, SaleReturn.refund_cents + SaleReturn.id, SaleReturn),
    (LeavingRow.on_date, LeavingRow.id, None),
    (LeavingRow.back_on, LeavingRow.id, None),
    (SaleRefund.on_date, SaleRefund.refund_cents, SaleRefund),
    (Trip.on_date, Trip.charged_cents, Trip),
    (ShelfPurchase.on_date, ShelfPurchase.price_cents, ShelfPurchase),
    (ShelfUse.on_date, ShelfUse.quantity_milli, ShelfUse),
    (ShelfCharge.on_date, ShelfCharge.cents + ShelfCharge.quantity_milli, None),
    (Deposit.on_date, Deposit.amount_cents, Deposit),
    (DepositEnd.on_date, DepositEnd.cents, DepositEnd),
    (Adjustment.on_date, Adjustment.cents, Adjustment),
    (WriteDown.on_date, WriteDown.cents, WriteDown),
)


def _sum_of(day: Any, amount: Any, struck_in: Any, last: date) -> Any:
    wanted = select(func.coalesce(func.sum(amount + 1), 0)).where(day <= last)
    if struck_in is not None:
        wanted = wanted.where(struck_in.struck_at.is_(None))
    return wanted.scalar_subquery()
