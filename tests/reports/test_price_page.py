"""The page of prices shows the latest sales, their parts in a drawing and in figures, and stays quick."""

import csv
import io
import re
from datetime import date, timedelta

from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.reports.queries import sold_count, sold_prices
from app.sales.actions import strike_sale
from tests.builders.reports import NOW, a_round, came_back, found, listed, sold, spent
from tests.examining_client import ExaminingClient
from tests.reports.counting import a_shop_of, queries_of

FOUND, SOLD_ON = date(2026, 9, 3), date(2026, 10, 5)


def test_a_price_is_drawn_and_written_with_what_is_left(client: ExaminingClient, session: Session) -> None:
    a_round(session, "Oak chest", FOUND, SOLD_ON)
    session.commit()

    page = client.get("/books/price").text

    told = "Of $200.00: bought $40.00, materials $12.50, fees $6.00, left $141.50."
    assert f'aria-label="{told}"' in page
    assert re.findall(r"<rect[^>]*><title>(.*?)</title>", page) == [
        "Bought: $40.00",
        "Materials: $12.50",
        "Fees: $6.00",
        "Left: $141.50",
    ]
    assert "part-short" not in page


def test_a_loss_is_framed_and_said(client: ExaminingClient, session: Session) -> None:
    piece = found(session, FOUND, 9_000)
    listed(session, piece, FOUND)
    sold(session, piece, SOLD_ON, 5_000)
    session.commit()

    page = client.get("/books/price").text

    assert 'class="part-short"' in page
    assert "Of $50.00: bought $90.00, $40.00 more than it brought." in page
    assert "lost on $50.00" in page


def test_a_piece_that_cost_many_times_its_price_has_a_bar_that_is_cut_off(
    client: ExaminingClient, session: Session
) -> None:
    piece = found(session, FOUND, 9_000, "Sunk wardrobe")
    listed(session, piece, FOUND)
    sold(session, piece, SOLD_ON, 500)
    session.commit()

    assert "the bar is cut off" in client.get("/books/price").text
    assert "the bar is cut off" in client.get(f"/pieces/{piece.tag}/profit").text


def test_the_list_holds_every_sale_that_stands_and_its_parts_add_up(client: ExaminingClient, session: Session) -> None:
    for number in range(23):
        day = timedelta(days=number)
        a_round(session, f"Chest {number}", FOUND + day, SOLD_ON + day)
    came_back(session, a_round(session, "Back again", FOUND, SOLD_ON), SOLD_ON, 20_000)
    struck = a_round(session, "Never was", FOUND, SOLD_ON)
    strike_sale(session, struck.id, reason="typed twice", now=NOW)
    session.commit()

    rows = list(csv.DictReader(io.StringIO(client.get("/books/price.csv").text)))

    assert [row["Piece"] for row in rows] == [f"Chest {number}" for number in reversed(range(23))]
    for row in rows:
        _, _, _, price, *parts = row.values()
        assert round(sum(float(part) for part in parts), 2) == float(price) == 200
    assert "Chest 22" in client.get("/books/price").text
    assert "Chest 2<" not in client.get("/books/price").text
    assert "Chest 2<" in client.get("/books/price?page=2").text


def test_a_piece_that_came_back_and_sold_again_stands_at_its_last_sale(session: Session) -> None:
    sale = a_round(session, "Chest", FOUND, SOLD_ON)
    came_back(session, sale, SOLD_ON, 20_000)
    piece = session.get_one(Piece, sale.piece_id)
    listed(session, piece, SOLD_ON)
    sold(session, piece, SOLD_ON + timedelta(days=9), 18_000)

    (row,) = sold_prices(session)

    assert sold_count(session) == 1
    assert row.sold_on == SOLD_ON + timedelta(days=9)
    assert (row.parts.price, row.parts.cents("given_back")) == (38_000, 20_000)


def test_nothing_sold_says_so(client: ExaminingClient) -> None:
    assert "Nothing has sold yet" in client.get("/books/price").text


def test_a_sold_pieces_own_page_shows_where_its_price_went_and_another_does_not(
    client: ExaminingClient, session: Session
) -> None:
    sale = a_round(session, "Oak chest", FOUND, SOLD_ON)
    here = found(session, FOUND, 900)
    spent(session, here, FOUND, 100)
    tag, sold_tag = here.tag, session.get_one(Piece, sale.piece_id).tag
    session.commit()

    assert "Where the price went" in client.get(f"/pieces/{sold_tag}/profit").text
    assert "Where the price went" not in client.get(f"/pieces/{tag}/profit").text


def test_as_many_queries_for_many_sales_as_for_few(session: Session) -> None:
    a_shop_of(session, 2)
    few = [queries_of(session, lambda: sold_prices(session, 0, 20)), queries_of(session, lambda: sold_prices(session))]
    a_shop_of(session, 12)
    many = [queries_of(session, lambda: sold_prices(session, 0, 20)), queries_of(session, lambda: sold_prices(session))]
    assert few == many
