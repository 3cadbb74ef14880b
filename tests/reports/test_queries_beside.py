"""The rows beside a piece's own costs as they are read: what counts, where it stands, and what it says of itself."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.costs.rules import AdjustedPart
from app.desk.queries import piece_sheet
from app.desk.queries.history import Happening
from app.pieces.models import Piece
from app.reports import queries
from app.reports.queries.shop_rows import shop_cost_rows
from app.reports.queries.tables import table_sums
from app.reports.rules import PieceLedger
from app.sales.models import Sale
from app.sales.rules import DepositEnding
from app.trips.rules import CountsAs, TripPurpose
from tests.builders.beside import (
    a_deposit,
    a_material,
    a_refund,
    a_trip,
    bought_for_shelf,
    corrected,
    counted_short,
    ended,
    settled,
    struck,
    used,
)
from tests.builders.reports import found, sold, spent

FOUND = date(2026, 10, 3)
EARLY = date(2026, 8, 3)
NOVEMBER = date(2026, 11, 5)
TODAY = date(2026, 11, 25)
ZONE = "America/Denver"


def costs(ledger: PieceLedger) -> list[tuple[str, int]]:
    return [(cost.kind, cost.cents) for cost in ledger.costs if cost.kind != "price"]


def at_once(ledger: PieceLedger) -> list[tuple[str, int, str, int, int]]:
    return [(row.key, row.cents, row.cash_key, row.cash, row.tax) for row in ledger.at_once]


@pytest.fixture
def chest(session: Session) -> Piece:
    return found(session, FOUND, 4_000)


def the_ledger(session: Session, piece: Piece) -> PieceLedger:
    return queries.ledger_of_piece(session, piece.id)


def test_a_use_its_settlement_and_parts_off_are_costs_of_the_piece(session: Session, chest: Piece) -> None:
    paint = a_material(session)
    use = used(session, paint, NOVEMBER, 700, piece=chest)
    settled(session, use, bought_for_shelf(session, paint, NOVEMBER, 900), -30)
    bought_for_shelf(session, paint, NOVEMBER, 250, off=chest)
    used(session, paint, NOVEMBER, 111)

    assert costs(the_ledger(session, chest)) == [("shelf", 700), ("shelf", -30), ("parts_off", -250)]


def test_only_a_trip_to_fetch_at_actual_cost_goes_into_the_piece(session: Session, chest: Piece) -> None:
    a_trip(session, NOVEMBER, 500, [chest], counts_as=CountsAs.ACTUAL)
    a_trip(session, NOVEMBER, 600, [chest], counts_as=CountsAs.ACTUAL, purpose=TripPurpose.DELIVER)
    a_trip(session, NOVEMBER, 900, [chest], extra=150)

    ledger = the_ledger(session, chest)

    assert costs(ledger) == [("trip_cost", 500)]
    assert at_once(ledger) == [("trips", -600, "trips", -600, 0), ("trips", -1_050, "trips", -150, 0)]


def test_the_tolls_of_a_shared_trip_are_shared_exactly_as_its_pieces_weigh(session: Session, chest: Piece) -> None:
    other = found(session, FOUND, 100)
    a_trip(session, NOVEMBER, 1_000, [chest, other], extra=101, weights=[2, 1])

    shares = [(row.cents, row.cash) for piece in (chest, other) for row in the_ledger(session, piece).at_once]

    assert shares == [(-734, -67), (-367, -34)]


def test_a_refund_in_part_gives_back_price_tax_and_fees(session: Session, chest: Piece) -> None:
    a_refund(session, sold(session, chest, FOUND, 9_000, fees=90, tax=720), NOVEMBER, 1_000, tax=80, fees=10)

    assert at_once(the_ledger(session, chest)) == [
        ("refunds", -1_000, "refunded", -1_080, -80),
        ("fees_back", 10, "fees_back", 10, 0),
    ]


def test_a_deposit_and_each_of_its_endings_stand_in_the_ledger(session: Session, chest: Piece) -> None:
    deposit = a_deposit(session, chest, FOUND, 600)
    for how, cents in zip(DepositEnding, (100, 200, 300), strict=True):
        ended(session, deposit, how, NOVEMBER, cents=cents)

    assert at_once(the_ledger(session, chest)) == [
        ("deposits", 0, "deposits", 600, 0),
        ("deposits", 0, "deposits", -100, 0),
        ("deposits", 0, "deposits", -200, 0),
        ("deposits_kept", 300, "", 0, 0),
    ]


def test_corrections_go_where_the_amount_they_correct_went(session: Session, chest: Piece) -> None:
    use = used(session, a_material(session), EARLY, 70, piece=chest)
    sale = sold(session, chest, FOUND, 9_000)
    corrected(session, AdjustedPart.COST, NOVEMBER, 10, piece=chest)
    corrected(session, AdjustedPart.COST, NOVEMBER, 20, piece=chest, corrects=session.get_one(type(use), use.id))
    corrected(session, AdjustedPart.OPENING, NOVEMBER, 30, piece=chest)
    corrected(session, AdjustedPart.FEES, NOVEMBER, 40, piece=chest, corrects=sale)
    corrected(session, AdjustedPart.TAX, NOVEMBER, 50, piece=chest, corrects=sale)
    corrected(session, AdjustedPart.MILEAGE, NOVEMBER, 60, piece=chest)

    ledger = the_ledger(session, chest)

    assert costs(ledger)[1:] == [("adjusted", 10), ("adjusted", 20), ("adjusted_opening", 30)]
    assert at_once(ledger) == [
        ("corrected", -40, "corrections", -40, 0),
        ("corrected", 0, "corrections", 50, 50),
        ("corrected", -60, "corrections", 0, 0),
    ]


def test_the_shop_carries_its_uses_counts_trips_and_corrections(session: Session) -> None:
    paint = a_material(session, "Slate paint")
    bought_for_shelf(session, paint, FOUND, 3_000, tax=240)
    used(session, paint, NOVEMBER, 50)
    counted_short(session, paint, NOVEMBER, -20)
    a_trip(session, NOVEMBER, 400, extra=100)
    a_trip(session, NOVEMBER, 300, counts_as=CountsAs.ACTUAL)
    corrected(session, AdjustedPart.SHOP_COST, NOVEMBER, 40)
    spent(session, None, NOVEMBER, 1_000)

    found_rows = {
        (row.kind, row.label, row.cents, row.paid, row.cash_key) for row in shop_cost_rows(session, FOUND, TODAY)
    }

    assert found_rows == {
        ("shelf_bought", "Slate paint", 0, 3_240, "shelf"),
        ("shelf", "Used for the shop: Slate paint", 50, 0, "shop_costs"),
        ("shelf_count", "Counted on the shelf: Slate paint", -20, 0, "shop_costs"),
        ("trips", "Trip: Fetching", 500, 100, "trips"),
        ("trips", "Trip: Fetching", 300, 300, "trips"),
        ("adjusted", "Correction: misread", 40, 40, "corrections"),
        ("rent", "Rent", 1_000, 1_000, "shop_costs"),
    }


Act = Callable[[Session, Piece, Sale], object]

ON_A_PIECE: dict[str, Act] = {
    "use": lambda session, piece, _: used(session, a_material(session), NOVEMBER, 70, piece=piece),
    "parts off": lambda session, piece, _: bought_for_shelf(session, a_material(session), NOVEMBER, 70, off=piece),
    "trip": lambda session, piece, _: a_trip(session, NOVEMBER, 70, [piece]),
    "refund": lambda session, _, sale: a_refund(session, sale, NOVEMBER, 70),
    "deposit": lambda session, piece, _: a_deposit(session, piece, NOVEMBER, 70),
    "deposit end": lambda session, piece, _: ended(
        session, a_deposit(session, piece, EARLY, 70), DepositEnding.KEPT, NOVEMBER
    ),
    "correction": lambda session, piece, _: corrected(session, AdjustedPart.PRICE, NOVEMBER, 7, piece=piece),
}


@pytest.mark.parametrize("name", ON_A_PIECE)
def test_each_kind_alone_brings_its_piece_and_its_day_into_the_books(session: Session, name: str) -> None:
    piece = found(session, EARLY, 100)
    ON_A_PIECE[name](session, piece, sold(session, piece, EARLY, 900))

    assert set(queries.month_sheet(session, Month(2026, 11), Month(2026, 11)).names) == {piece.id}
    assert queries.days_known(session) == (EARLY, NOVEMBER)


@pytest.mark.parametrize("name", [name for name in ON_A_PIECE if name != "use"])
def test_a_struck_row_is_nowhere_but_among_the_struck_ones(session: Session, name: str) -> None:
    piece = found(session, EARLY, 100)
    row: Any = ON_A_PIECE[name](session, piece, sold(session, piece, EARLY, 900))
    struck(session, row)

    books = queries.piece_books(session, piece.tag)

    assert queries.month_sheet(session, Month(2026, 11), Month(2026, 11)).is_empty
    assert [(each.on, each.reason) for each in books.struck] == [(NOVEMBER, "a slip")]


def test_a_struck_row_is_in_no_sum_of_the_tables(session: Session, chest: Piece) -> None:
    rows: list[Any] = [
        bought_for_shelf(session, a_material(session), NOVEMBER, 70, off=chest),
        a_trip(session, NOVEMBER, 70),
        a_deposit(session, chest, NOVEMBER, 70),
        corrected(session, AdjustedPart.MILEAGE, NOVEMBER, 7),
    ]
    for row in rows:
        struck(session, row)

    sums = table_sums(session)

    assert not any(
        cents
        for days in (sums.shelf, sums.deposits, sums.trips, sums.parts_off, sums.unpaid)
        for cents in days.values()
    )


def test_every_row_on_a_piece_has_its_words(session: Session) -> None:
    piece = found(session, EARLY, 100)
    sale = sold(session, piece, EARLY, 900)
    paint = a_material(session, "Slate paint")
    settled(session, used(session, paint, NOVEMBER, 70, piece=piece), bought_for_shelf(session, paint, TODAY, 90), 5)
    for act in ON_A_PIECE.values():
        if act is not ON_A_PIECE["use"] and act is not ON_A_PIECE["parts off"]:
            act(session, piece, sale)

    books = queries.piece_books(session, piece.tag)

    assert all(row in books.words for term in books.profit.terms for row in term.rows)
    said = {words.words for words in books.words.values()}
    assert {
        "Slate paint",
        "Slate paint, settled by a later purchase",
        "Fetching, Barn",
        "Refund in part: a scratch",
        "Deposit from a neighbour",
        "Deposit kept",
        "misread, corrects September 2026",
    } <= said


def test_the_history_tells_of_parts_off_deposits_and_refunds(session: Session) -> None:
    piece = found(session, EARLY, 100)
    knobs, sale = a_material(session, "Brass knobs"), sold(session, piece, EARLY, 900)
    part = bought_for_shelf(session, knobs, NOVEMBER, 250, off=piece)
    deposit = a_deposit(session, piece, NOVEMBER, 600)
    ended(session, deposit, DepositEnding.REFUNDED, NOVEMBER, cents=100)
    refund = a_refund(session, sale, NOVEMBER, 70)
    struck(session, refund)

    lines = {line.what: line for line in piece_sheet(session, piece.tag, today=TODAY, zone=ZONE).history}

    taken = lines[Happening.PARTS_OFF]
    assert (taken.words, taken.cents, taken.material_id) == ("Brass knobs", part.price_cents, knobs.id)
    assert (lines[Happening.DEPOSIT].words, lines[Happening.DEPOSIT].deposit_id) == ("a neighbour", deposit.id)
    assert (lines[Happening.DEPOSIT_ENDED].words, lines[Happening.DEPOSIT_ENDED].cents) == ("refunded", 100)
    assert (lines[Happening.REFUNDED].sale_id, lines[Happening.REFUNDED].struck_reason) == (sale.id, "a slip")


def test_a_month_with_nothing_but_a_purchase_for_the_shelf_is_not_empty(session: Session) -> None:
    bought_for_shelf(session, a_material(session), NOVEMBER, 900)

    sheet = queries.month_sheet(session, Month(2026, 11), Month(2026, 11))

    assert not sheet.is_empty
    assert (sheet.profit.profit, sheet.profit.cash.net) == (0, -900)
    assert session.scalar(select(Piece.id)) is None
