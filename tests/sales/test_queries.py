"""What the queries of sales give to pages and to the books."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.sales.actions import strike_return, strike_sale
from app.sales.queries import all_sales, months_with_sales, returns_in, sales_of, sell_card, sums_of_sales
from tests.builders.floor import a_channel, a_listed_piece
from tests.builders.pieces import a_piece
from tests.builders.sales import a_return, a_sale, a_sold_piece

NOVEMBER = Month(2026, 11)


def test_a_piece_without_sales_has_none(session: Session) -> None:
    assert sales_of(session, a_piece(session).id) == []
    assert sums_of_sales(session).rows == 0
    assert months_with_sales(session) == []


def test_a_sale_keeps_its_struck_returns_beside_the_one_that_counts(session: Session, now: datetime) -> None:
    piece, sale = a_sold_piece(session)
    wrong = a_return(session, sale, refund_cents=1)
    strike_return(session, wrong.id, reason="wrong amount", now=now)
    right = a_return(session, sale)
    (row,) = sales_of(session, piece.id)
    assert [back.is_struck for back in row.returns] == [True, False]
    assert row.came_back is not None
    assert row.came_back.id == right.id


def test_sums_leave_struck_sales_out_and_count_returned_ones(session: Session, now: datetime) -> None:
    _piece, wrong = a_sold_piece(session, sale_price_cents=999_00)
    strike_sale(session, wrong.id, reason="wrong piece", now=now)
    _piece, sale = a_sold_piece(session, sale_price_cents=100_00, sale={"fees_cents": 13_00, "tax_cents": 8_00})
    a_return(session, sale)
    sums = sums_of_sales(session, NOVEMBER)
    assert (sums.rows, sums.counting, sums.price_cents, sums.tax_cents) == (2, 1, 100_00, 8_00)
    assert sums.net_cents == 87_00
    assert sums_of_sales(session, NOVEMBER.previous).rows == 0


def test_a_return_lies_in_its_own_month(session: Session) -> None:
    early = a_piece(session, bought_on=date(2026, 9, 1))
    sale = a_sale(session, early, sold_on=date(2026, 10, 31))
    a_return(session, sale, returned_on=date(2026, 11, 1))
    assert [row.tag for row in returns_in(session, NOVEMBER)] == [early.tag]
    assert returns_in(session, NOVEMBER.previous) == []
    assert months_with_sales(session) == [NOVEMBER, NOVEMBER.previous]
    assert all_sales(session, month=NOVEMBER) == []


def test_the_sell_card_proposes_by_the_channel_chosen(session: Session) -> None:
    channel = a_channel(session, percent_hundredths=10_00, fixed_cents=50)
    piece = a_listed_piece(session, channel_ids=[channel.id])
    card = sell_card(session, piece.tag)
    assert card.fee_proposed(channel.id, 100_00, NOVEMBER.last) == 10_50
    assert card.fee_proposed(None, 100_00, NOVEMBER.last) == 0
    assert card.standing_sale is None


def test_the_sell_card_of_a_sold_piece_names_the_sale_that_stands(session: Session, now: datetime) -> None:
    piece, wrong = a_sold_piece(session)
    strike_sale(session, wrong.id, reason="wrong price", now=now)
    right = a_sale(session, piece)
    standing = sell_card(session, piece.tag).standing_sale
    assert standing is not None
    assert standing.id == right.id
