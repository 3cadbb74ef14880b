"""What each sort of correction does to the profit, the cash and the stock of the open month, and that all is proven."""

from datetime import date

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.pieces.models import Purchase
from app.reports.queries import figures_of, month_of, prove_ledger
from app.trips.rules import TripPurpose
from tests.builders.closing import a_correction, closed_up_to
from tests.builders.costs import a_cost
from tests.builders.pieces import a_piece, an_owned_piece
from tests.builders.rows import a_refund, a_shelf_purchase, a_shelf_use, a_trip
from tests.builders.sales import a_return, a_sale

DAY = date(2026, 10, 10)
NOVEMBER = Month(2026, 11)


def closed_rows(session: Session, row: str) -> dict[str, tuple[str, int]]:
    """One row of each sort in October, which is closed: its table and number by a word for it.

    What was owned when the books began is there only where `row` asks for it: with it years of months are to close.
    """
    owned = an_owned_piece(session) if row == "owned" else None
    here, gone, back = (a_piece(session, bought_on=DAY) for _ in range(3))
    sale = a_sale(session, gone, sold_on=DAY, price_cents=20_000, fees_cents=600, tax_cents=1_600)
    taken_back = a_sale(session, back, sold_on=DAY, price_cents=20_000, fees_cents=600, tax_cents=1_600)
    bought = {row.piece_id: row.id for row in session.scalars(select(Purchase))}
    came = a_return(session, taken_back, returned_on=DAY, tax_refunded_cents=1_600, fees_back_cents=300)
    rows: dict[str, tuple[str, int]] = {
        "owned": ("purchase", bought[owned.id] if owned else 0),
        "bought": ("purchase", bought[here.id]),
        "bought, sold": ("purchase", bought[gone.id]),
        "cost": ("cost_line", a_cost(session, here.id, on_date=DAY).id),
        "shop cost": ("cost_line", a_cost(session, on_date=DAY).id),
        "sale": ("sale", sale.id),
        "refund": ("sale_refund", a_refund(session, sale, DAY).id),
        "return": ("sale_return", came.id),
        "use": ("shelf_use", a_shelf_use(session, DAY, here).id),
        "shelf": ("shelf_purchase", a_shelf_purchase(session, DAY, cents=2_000, tax=160).id),
        "parts": ("shelf_purchase", a_shelf_purchase(session, DAY, cents=500, piece=here).id),
        "trip": ("trip", a_trip(session, DAY, (here, gone, back), charged=1_200, extra=200).id),
        "fetched": ("trip", a_trip(session, DAY, (here,), is_actual=True).id),
        "delivered": ("trip", a_trip(session, DAY, (here, back), is_actual=True, purpose=TripPurpose.DELIVER).id),
        "shop trip": ("trip", a_trip(session, DAY, charged=1_200, extra=200).id),
    }
    closed_up_to(session, Month(2026, 10))
    return rows


@pytest.mark.parametrize(
    ("row", "should_be", "changes"),
    [
        ("owned", {"opening": 2_000}, (0, 0, -500)),
        ("bought", {"cost": 4_100}, (0, -100, 100)),
        ("bought, sold", {"cost": 4_100}, (-100, -100, 0)),
        ("cost", {"cost": 1_000}, (0, 250, -250)),
        ("shop cost", {"shop_cost": 1_500}, (-250, -250, 0)),
        ("sale", {"price": 21_000}, (1_000, 1_000, 0)),
        ("sale", {"fees": 500}, (100, 100, 0)),
        ("sale", {"delivery_paid": 50}, (-50, -50, 0)),
        ("sale", {"tax": 1_700}, (0, 100, 0)),
        ("refund", {"refund": 1_200}, (-200, -200, 0)),
        ("refund", {"fees": 100}, (70, 70, 0)),
        ("refund", {"tax": 100}, (0, -20, 0)),
        ("return", {"refund": 19_000}, (1_000, 1_000, 0)),
        ("return", {"fees": 350}, (50, 50, 0)),
        ("return", {"delivery_paid": 200}, (200, 200, 0)),
        ("return", {"tax": 1_500}, (0, 100, 0)),
        ("use", {"cost": 450}, (150, 0, 150)),
        ("shelf", {"shop_cost": 2_300}, (-140, -140, 0)),
        ("parts", {"cost": 800}, (-300, 0, -300)),
        ("trip", {"mileage": 1_100}, (-100, 0, 0)),
        ("trip", {"trip": 190}, (10, 10, 0)),
        ("fetched", {"cost": 1_500}, (0, -500, 500)),
        ("delivered", {"trip": 1_500}, (-500, -500, 0)),
        ("shop trip", {"mileage": 1_100}, (-100, 0, 0)),
        ("shop trip", {"shop_cost": 300}, (-100, -100, 0)),
    ],
)
def test_a_correction_counts_in_the_open_month_alone(
    session: Session, row: str, should_be: dict[str, int], changes: tuple[int, int, int]
) -> None:
    profit, cash, stock = changes
    rows = closed_rows(session, row)
    before, stood = month_of(session, NOVEMBER), figures_of(session, NOVEMBER).stock
    a_correction(session, *rows[row], **should_be)  # type: ignore[arg-type]
    after = month_of(session, NOVEMBER)
    assert (after.profit - before.profit, after.cash.net - before.cash.net) == (profit, cash)
    assert figures_of(session, NOVEMBER).stock - stood == stock
    assert [finding.name for finding in prove_ledger(session, date(2026, 11, 25)) if not finding.holds] == []
