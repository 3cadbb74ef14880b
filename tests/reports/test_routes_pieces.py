"""The pages of single pieces in the books and the list of pieces: what each says and where each figure opens."""

from datetime import date

from sqlalchemy.orm import Session

from app.costs.actions import strike_cost
from app.costs.rules import CostKind
from app.pieces.actions import leave, split_off
from app.pieces.rules import Leaving, SplitPart
from app.timelog.actions import strike_time
from tests.builders.pieces import a_piece
from tests.builders.reports import NOW, came_back, found, sold, spent, worked
from tests.examining_client import ExaminingClient
from tests.reports.counting import a_shop_of
from tests.reports.pages import rows_of, words_of

FOUND = date(2026, 10, 3)
SOLD_ON = date(2026, 11, 5)


def test_a_sold_piece_shows_every_term_with_its_rows(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    piece = found(session, FOUND, 4_000, "Oak chest", premium=500, tax=320)
    spent(session, piece, FOUND, 1_250, note="primer")
    struck = spent(session, piece, FOUND, 999, note="sealer")
    strike_cost(session, struck.id, reason="typed twice", now=NOW)
    worked(session, piece, FOUND, 150)
    sold(session, piece, SOLD_ON, 20_000, delivery=(2_500, 1_800), fees=600)
    spent(session, piece, date(2026, 11, 9), 530, kind=CostKind.REPAIR, note="castors")
    session.commit()

    said = words_of(client, f"/pieces/{piece.tag}/profit")

    for words in (
        "Sale price $200.00",
        "Delivery charged $25.00",
        "Price paid −$40.00",
        "Buyer's premium −$5.00",
        "Sales tax on the purchase −$3.20",
        "Paint and materials −$12.50",
        "Paint and materials, primer 3 Oct 2026",
        "Repair by others, castors 9 Nov 2026, when it was gone: counts in its own month −$5.30",
        "Selling fees −$6.00",
        "Delivery paid −$18.00",
        "Profit $135.00",
        "Per hour $54.00",
        "Earned on the money put in 205 %",
        "Paint and materials, sealer 3 Oct 2026 Struck out: typed twice $9.99",
        "All time 2 h 30 min",
    ):
        assert words in said


def test_an_unsold_piece_shows_what_was_put_in_and_no_profit(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    piece = found(session, FOUND, 4_000, "Oak chest")
    spent(session, piece, FOUND, 1_250)
    session.commit()

    said = words_of(client, f"/pieces/{piece.tag}/profit")

    assert "Put in so far $52.50" in said
    assert "Price paid $40.00" in said
    assert "−" not in said
    assert "Per hour" not in said
    assert "No time is logged on it" in said


def test_a_piece_that_came_back_shows_what_it_made_so_far_beside_its_cost(
    books: tuple[ExaminingClient, Session],
) -> None:
    client, session = books
    piece = found(session, FOUND, 4_000, "Oak chest")
    came_back(session, sold(session, piece, SOLD_ON, 9_000, fees=300), SOLD_ON, 9_000)
    session.commit()

    said = words_of(client, f"/pieces/{piece.tag}/profit")

    assert "Stands in stock again, at cost $40.00" in said
    assert "Made so far −$3.00" in said


def test_a_kept_piece_is_taken_out_at_cost(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    piece = found(session, FOUND, 4_000, "Oak chest")
    leave(session, piece.id, Leaving.KEPT, on_date=SOLD_ON, reason="for the hall", version=None, now=NOW)
    session.commit()

    said = words_of(client, f"/pieces/{piece.tag}/profit")

    assert "Taken out by the owner, at cost $40.00" in said
    assert "Kept: for the hall 5 Nov 2026 $40.00" in said
    assert "Profit $0.00" in said
    assert "Kept $40.00 1 piece" in words_of(client, "/books/left")


def test_the_parts_of_a_split_set_lead_to_each_other(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    chairs = a_piece(session, count=2, title="Chairs")
    entry = worked(session, chairs, date(2026, 10, 2), 60)
    parts = (SplitPart("", 1, 1), SplitPart("", 1, 1))
    one = split_off(session, chairs.id, parts, cents=4_000, minutes=60, on_date=SOLD_ON, version=None, now=NOW)[1]
    strike_time(session, entry.id, reason="another day", now=NOW)
    session.commit()

    giver, taker = client.get(f"/pieces/{chairs.tag}/profit").text, client.get(f"/pieces/{one.tag}/profit").text

    assert f'href="/pieces/{one.tag}/profit"' in giver
    assert f'href="/pieces/{chairs.tag}/profit"' in taker
    assert "−30 min" in giver
    client.get("/books/pieces")


def test_pieces_are_narrowed_sorted_and_paged(books: tuple[ExaminingClient, Session]) -> None:
    client, session = books
    a_shop_of(session, 9)
    session.commit()

    everything = words_of(client, "/books/pieces?sort=put-in")
    assert "1 to 24 of 45" in everything
    assert "25 to 45 of 45" in words_of(client, "/books/pieces?page=2")
    assert "25 to 45 of 45" in words_of(client, "/books/pieces?page=99999")
    assert "1 to 9 of 9" in words_of(client, "/books/pieces?show=sold")
    assert "scrapped" not in words_of(client, "/books/pieces?show=on-hand&sort=nonsense")
    assert [row["State"] for row in rows_of(client, "/books/pieces.csv?show=left")] == ["scrapped"] * 9
    assert rows_of(client, "/books/pieces.csv?sort=put-in")[0]["Put in"] == "60.00"
    made = [row["Profit"] for row in rows_of(client, "/books/pieces.csv?sort=profit")]
    assert made == ["141.50"] * 9 + ["-7.00"] * 9 + [""] * 27
