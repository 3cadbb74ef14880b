"""The same shop with a shelf, trips, deposits, refunds in part, closed months and their corrections."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from fractions import Fraction
from typing import Any, Final

from hypothesis import strategies as st
from hypothesis.stateful import initialize, invariant, precondition, rule
from sqlalchemy import Integer, cast, func, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.basics.dates import Month
from app.basics.errors import RuleError
from app.basics.money import half_up
from app.costs.models import Adjustment, CostLine
from app.costs.rules import PIECE_KINDS, AdjustedPart
from app.pieces.models import LeavingRow, Piece, Purchase, Transfer
from app.pieces.rules import PurchaseKind
from app.reports.queries import month_of, months_known, stock_of_piece
from app.reports.queries.beside import booked_beside
from app.reports.queries.chosen import these
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.sales.rules import DepositEnding
from app.shelf.models import Material, ShelfCharge, ShelfCount, ShelfPurchase, ShelfUse
from app.shelf.rules import ChargeKind
from app.shop.models import ClosedMonth
from app.shop.queries import closed_through, require_open
from app.shop.rules import require_closable
from app.trips.models import Trip, TripPiece
from app.trips.rules import CountsAs, TripPurpose
from tests.builders import beside as put
from tests.conftest import NOW
from tests.reports.shop_walk import BEGINNING, TODAY, ShopWalk, amounts, days, picks

JUNE: Final = Month.of(BEGINNING)

quantities = st.integers(1, 3_000_000)
late_days = st.integers(0, 60).map(lambda number: TODAY - timedelta(days=number))

DAY_OF: Final[dict[Any, InstrumentedAttribute[date]]] = {
    Purchase: Purchase.on_date,
    CostLine: CostLine.on_date,
    Sale: Sale.sold_on,
    SaleReturn: SaleReturn.returned_on,
    SaleRefund: SaleRefund.on_date,
    Trip: Trip.on_date,
    ShelfUse: ShelfUse.on_date,
}
CORRECTABLE: Final = list(DAY_OF)


class BesideWalk(ShopWalk):
    """The acts of `ShopWalk`, and those that stand beside the pieces; `steps` counts all of them."""

    steps = 0

    def act(self, deed: Callable[[], object]) -> None:
        """As before; and what would change a closed month is taken back, whoever did it."""
        closed = closed_through(self.session)
        if closed is None:
            super().act(deed)
            return

        def kept() -> None:
            before = dated_up_to(self.session, closed.last)
            deed()
            self.session.flush()
            if dated_up_to(self.session, closed.last) != before:
                raise RuleError("That month is closed.")

        super().act(kept)

    def strike_find_of(self, piece: Piece) -> None:
        """A piece with a row of these on it is not struck out as a find."""
        booked = booked_beside(self.session, these([piece.id]))
        if booked.costs[piece.id] or booked.at_once[piece.id]:
            raise RuleError("Strike out first what is booked on it.")
        super().strike_find_of(piece)

    @invariant()
    def count_the_step(self) -> None:
        type(self).steps += 1

    def material(self, pick: int) -> Material:
        found = self.session.scalars(select(Material).order_by(Material.id)).all()
        if pick % 3 >= len(found):
            return put.a_material(self.session, f"Paint {len(found)}")
        return found[pick % 3]

    def open_day(self, on: date) -> None:
        require_open(self.session, on)

    @initialize(prices=st.lists(amounts, min_size=4, max_size=4), gone=st.integers(1, 3), closed=st.booleans())
    def open_the_shop(self, prices: list[int], gone: int, *, closed: bool) -> None:
        """Four pieces, some of them sold in June, and one of everything beside them, so that there is much to do."""
        for number, price in enumerate(prices):
            self.find(BEGINNING + timedelta(days=number), price, 500, 300, 2)
        for number in range(gone):
            self.sell(number, 9, 9_000 + prices[number], (1_500, 1_200), (700, 600))
        june = BEGINNING + timedelta(days=12)
        for pick, cents in enumerate(prices[:2]):
            self.buy_for_the_shelf(pick, june, cents + 100, 1_500_000)
            self.use_from_the_shelf(pick, pick, june, 200_000, for_shop=False)
            self.spend(pick, june, cents + 1, PIECE_KINDS[pick])
        self.drive([0, 1], june, paid=(1_310, 250), how=(CountsAs.RATE, TripPurpose.FETCH), weights=[1, 2, 0])
        self.take_a_deposit(3, june, 2_000)
        self.refund_in_part(0, june, (10, 10, 10))
        if closed:
            self.close_months()

    @rule(pick=picks, on=days, cents=amounts, milli=quantities)
    def buy_for_the_shelf(self, pick: int, on: date, cents: int, milli: int) -> None:
        def deed() -> None:
            self.open_day(on)
            material = self.material(pick)
            put.bought_for_shelf(self.session, material, on, cents, milli, tax=cents // 12)
            charge_anew(self.session, material)

        self.act(deed)

    @rule(pick=picks, which=picks, on=days, milli=quantities, for_shop=st.booleans())
    def use_from_the_shelf(self, pick: int, which: int, on: date, milli: int, *, for_shop: bool) -> None:
        piece = None if for_shop else self.piece(which, Piece.struck_at.is_(None))

        def deed() -> None:
            self.open_day(on)
            material = self.material(pick)
            charge = put.used(self.session, material, on, 0, piece=piece, milli=milli)
            self.session.delete(charge)
            charge_anew(self.session, material)

        self.act(deed)

    @rule(pick=picks, on=days, milli=st.integers(0, 2_000_000))
    def count_the_shelf(self, pick: int, on: date, milli: int) -> None:
        def deed() -> None:
            self.open_day(on)
            material = self.material(pick)
            charge = put.counted_short(self.session, material, on, 0)
            self.session.get_one(ShelfCount, charge.count_id).counted_milli = milli
            self.session.delete(charge)
            charge_anew(self.session, material)

        self.act(deed)

    @rule(pick=picks, which=picks, on=days, cents=amounts)
    def take_parts_off(self, pick: int, which: int, on: date, cents: int) -> None:
        piece = self.piece(which, Piece.struck_at.is_(None))
        if piece is None:
            return

        def deed() -> None:
            self.open_day(on)
            value = min(cents, max(stock_of_piece(self.session, piece.id), 0))
            material = self.material(pick)
            put.bought_for_shelf(self.session, material, on, value, off=piece)
            charge_anew(self.session, material)

        self.act(deed)

    @rule(pick=picks, table=st.sampled_from([ShelfPurchase, ShelfUse, ShelfCount]))
    def strike_on_the_shelf(self, pick: int, table: Any) -> None:
        row = self.one_of(select(table).where(table.struck_at.is_(None)).order_by(table.id), pick)
        if row is not None:

            def deed() -> None:
                self.open_day(row.on_date)
                put.struck(self.session, row)
                charge_anew(self.session, self.session.get_one(Material, row.material_id))

            self.act(deed)

    @rule(
        which=st.lists(picks, max_size=3),
        on=days,
        paid=st.tuples(amounts, amounts),
        how=st.tuples(st.sampled_from(CountsAs), st.sampled_from(TripPurpose)),
        weights=st.lists(st.integers(0, 900), min_size=3, max_size=3),
    )
    def drive(
        self,
        which: list[int],
        on: date,
        *,
        paid: tuple[int, int],
        how: tuple[CountsAs, TripPurpose],
        weights: list[int],
    ) -> None:
        found = (self.piece(pick, Piece.struck_at.is_(None)) for pick in which)
        pieces = list({piece.id: piece for piece in found if piece is not None}.values())
        cents, tolls = paid[0], paid[1] if how[0] is CountsAs.RATE else 0
        told: dict[str, Any] = {"counts_as": how[0], "purpose": how[1], "weights": weights[: len(pieces)] or None}

        def deed() -> None:
            self.open_day(on)
            put.a_trip(self.session, on, cents, pieces, extra=tolls, **told)

        self.act(deed)

    @rule(pick=picks, table=st.sampled_from([Trip, SaleRefund, DepositEnd, Adjustment]))
    def strike_beside(self, pick: int, table: Any) -> None:
        row = self.one_of(select(table).where(table.struck_at.is_(None)).order_by(table.id), pick)
        if row is not None:

            def deed() -> None:
                self.open_day(row.on_date)
                put.struck(self.session, row)

            self.act(deed)

    @rule(pick=picks, on=days, cents=amounts.filter(bool))
    def take_a_deposit(self, pick: int, on: date, cents: int) -> None:
        piece = self.piece(pick, Piece.struck_at.is_(None))
        if piece is not None:

            def deed() -> None:
                self.open_day(on)
                put.a_deposit(self.session, piece, on, cents)

            self.act(deed)

    @rule(pick=picks, how=st.sampled_from(DepositEnding), on=late_days, share=st.integers(1, 100))
    def end_a_deposit(self, pick: int, how: DepositEnding, on: date, share: int) -> None:
        deposit = self.one_of(select(Deposit).order_by(Deposit.id), pick)
        if deposit is None:
            return

        def deed() -> None:
            self.open_day(on)
            counting = select(func.sum(DepositEnd.cents)).where(
                DepositEnd.deposit_id == deposit.id, DepositEnd.struck_at.is_(None)
            )
            left = deposit.amount_cents - (self.session.scalar(counting) or 0)
            if left <= 0 or on < deposit.on_date:
                raise RuleError("Nothing of it is left, or it was not taken yet.")
            put.ended(self.session, deposit, how, on, cents=max(left * share // 100, 1))

        self.act(deed)

    @rule(pick=picks, on=late_days, share=st.tuples(*(st.integers(0, 30) for _ in range(3))))
    def refund_in_part(self, pick: int, on: date, share: tuple[int, int, int]) -> None:
        sale = self.one_of(select(Sale).where(Sale.struck_at.is_(None)).order_by(Sale.id), pick)
        if sale is None:
            return
        whole = (sale.price_cents, sale.tax_cents, sale.fees_cents)
        cents, tax, fees = (amount * part // 100 for amount, part in zip(whole, share, strict=True))

        def deed() -> None:
            self.open_day(on)
            if on < sale.sold_on or not cents:
                raise RuleError("Not before its sale, and not nothing.")
            put.a_refund(self.session, sale, on, cents, tax=tax, fees=fees)

        self.act(deed)

    @rule()
    @precondition(lambda self: closed_through(self.session) != JUNE.next)
    def close_months(self) -> None:
        """All months through June; once those are closed, July."""

        def deed() -> None:
            known = months_known(self.session)
            closed = closed_through(self.session)
            last = JUNE if closed is None or closed < JUNE else JUNE.next
            month = closed.next if closed else known[0]
            while month <= last:
                require_closable(month, closed_through=closed, first=known[0], today=TODAY)
                profit = month_of(self.session, month)
                kept = dict.fromkeys(("stock_cents", "shelf_cents", "deposits_cents"), 0)
                kept |= {"profit_cents": profit.profit, "cash_cents": profit.cash.net}
                self.session.add(ClosedMonth(month=str(month), closed_at=NOW, **kept))
                self.session.flush()
                closed, month = month, month.next

        self.act(deed)

    @rule(pick=picks, table=st.sampled_from(CORRECTABLE), on=late_days)
    @precondition(lambda self: closed_through(self.session) is not None)
    def correct_what_is_closed(self, pick: int, table: Any, on: date) -> None:
        closed = closed_through(self.session)
        assert closed is not None
        day = DAY_OF[table]
        row = self.one_of(select(table).where(table.struck_at.is_(None), day <= closed.last).order_by(table.id), pick)
        if row is None:
            return

        def deed() -> None:
            self.open_day(on)
            piece = self.session.get(Piece, piece_of(self.session, row) or 0)
            part = part_of(row, pick, has_piece=piece is not None)
            cents = pick - 500 or 1
            told: dict[str, Any] = {"piece": piece, "corrects": row, "corrects_on": getattr(row, day.key)}
            put.corrected(self.session, part, on, cents, **told)

        self.act(deed)

    def teardown(self) -> None:
        """What was closed stays as it was when it was closed."""
        self.session.expire_all()
        for kept in self.session.scalars(select(ClosedMonth)).all():
            profit = month_of(self.session, Month.parse(kept.month))
            assert (kept.profit_cents, kept.cash_cents) == (profit.profit, profit.cash.net)
        super().teardown()


_OF_A_SALE: Final = (
    AdjustedPart.PRICE,
    AdjustedPart.DELIVERY_CHARGED,
    AdjustedPart.DELIVERY_PAID,
    AdjustedPart.FEES,
    AdjustedPart.TAX,
)


def part_of(row: Any, pick: int, *, has_piece: bool) -> AdjustedPart:
    """Which amount of a row is corrected."""
    if isinstance(row, Sale):
        return _OF_A_SALE[pick % len(_OF_A_SALE)]
    if isinstance(row, SaleReturn | SaleRefund):
        return (AdjustedPart.REFUND, AdjustedPart.TAX, AdjustedPart.FEES)[pick % 3]
    if isinstance(row, Purchase) and row.kind is PurchaseKind.OPENING:
        return AdjustedPart.OPENING
    if isinstance(row, Trip) and row.counts_as is CountsAs.RATE:
        return AdjustedPart.MILEAGE
    if isinstance(row, Trip) and row.purpose is not TripPurpose.FETCH:
        return AdjustedPart.TRIP
    return AdjustedPart.COST if has_piece else AdjustedPart.SHOP_COST


def piece_of(session: Session, row: Any) -> int | None:
    """The piece a row belongs to, None where it is the shop's."""
    if isinstance(row, SaleReturn | SaleRefund):
        return session.get_one(Sale, row.sale_id).piece_id
    if isinstance(row, Trip):
        return session.scalar(select(TripPiece.piece_id).where(TripPiece.trip_id == row.id).limit(1))
    found: int | None = row.piece_id
    return found


def charge_anew(session: Session, material: Material) -> None:
    """Write the charges of a material from its rows by the moving average; those in closed months stay.

    A use beyond what is left takes what is there; the next purchase settles the rest.
    """
    session.flush()
    closed = closed_through(session)
    frozen = closed.last if closed else date.min
    for charge in session.scalars(select(ShelfCharge).where(ShelfCharge.material_id == material.id)):
        if charge.on_date > frozen:
            session.delete(charge)
    for charge in replayed(_rows_of(session, material)):
        if charge.on_date > frozen:
            session.add(charge)
    session.flush()


def _rows_of(session: Session, material: Material) -> Sequence[Any]:
    rows: list[tuple[date, int, int, Any]] = []
    tables: tuple[Any, ...] = (ShelfPurchase, ShelfUse, ShelfCount)
    for place, table in enumerate(tables):
        found = select(table).where(table.material_id == material.id, table.struck_at.is_(None))
        rows += [(row.on_date, place, row.id, row) for row in session.scalars(found)]
    return [row for *_, row in sorted(rows, key=lambda entry: entry[:3])]


def replayed(rows: Sequence[Any]) -> list[ShelfCharge]:
    """The charges of the rows of one material in their order; bought less charged is always what is left."""
    charges: list[ShelfCharge] = []
    stock = value = 0
    short: list[tuple[ShelfUse, int]] = []
    for row in rows:
        if isinstance(row, ShelfPurchase):
            paid, missing = row.price_cents + row.tax_cents, sum(quantity for _, quantity in short)
            settled = min(missing, row.quantity_milli)
            cents = half_up(Fraction(paid * settled, row.quantity_milli))
            if short:
                charges.append(_charge(row, ChargeKind.SETTLEMENT, 0, cents, short[0][0]))
            short = [] if settled == missing else [(short[0][0], missing - settled)]
            stock, value = stock + row.quantity_milli - settled, value + paid - cents
        else:
            wanted = row.quantity_milli if isinstance(row, ShelfUse) else max(stock - row.counted_milli, 0)
            taken = min(wanted, stock)
            cents = value if taken == stock else half_up(Fraction(value * taken, stock))
            kind = ChargeKind.USE if isinstance(row, ShelfUse) else ChargeKind.COUNT
            charges.append(_charge(row, kind, wanted, cents, row if isinstance(row, ShelfUse) else None))
            stock, value = stock - taken, value - cents
            if isinstance(row, ShelfUse) and wanted > taken:
                short.append((row, wanted - taken))
    return charges


def _charge(row: Any, kind: ChargeKind, milli: int, cents: int, use: ShelfUse | None) -> ShelfCharge:
    charge = ShelfCharge(material_id=row.material_id, kind=kind, on_date=row.on_date, cents=cents)
    charge.quantity_milli, charge.short_milli = milli, 0
    charge.use_id, charge.piece_id = (use.id, use.piece_id) if use is not None else (None, None)
    charge.purchase_id = row.id if kind is ChargeKind.SETTLEMENT else None
    charge.count_id = row.id if kind is ChargeKind.COUNT else None
    return charge


def dated_up_to(session: Session, last: date) -> tuple[Any, ...]:
    """What the rows of money dated up to a day come to, each weighed by its day."""
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
)


def _sum_of(day: Any, amount: Any, struck_in: Any, last: date) -> Any:
    on_its_day = (amount + 1) * cast(func.strftime("%Y%m%d", day), Integer)
    wanted = select(func.coalesce(func.sum(on_its_day), 0)).where(day <= last)
    if struck_in is not None:
        wanted = wanted.where(struck_in.struck_at.is_(None))
    return wanted.scalar_subquery()
