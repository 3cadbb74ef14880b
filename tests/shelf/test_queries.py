"""Reading the shelf: the list, one material, what a piece used, what is low, and the proof."""

from datetime import date, datetime
from fractions import Fraction

import pytest
from sqlalchemy import event, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.shelf.actions import correct_material, strike_count, strike_purchase, strike_use
from app.shelf.models import Material, ShelfCharge
from app.shelf.queries import (
    counted_cost,
    facts_of,
    last_can,
    left_on,
    line_by_id,
    low_materials,
    material_by_id,
    material_lines,
    material_rows,
    parts_of,
    pieces_on_hand,
    places_bought_at,
    shelf_findings,
    uses_of,
)
from app.shelf.rules import MaterialClass, RowKind, Unit
from tests.builders.pieces import a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.shelf import USED, a_count, a_material, a_purchase, a_stocked_material, a_use, some_parts


def test_the_list_says_what_is_left_and_what_it_is_worth_by_class_and_name(session: Session) -> None:
    paint = a_stocked_material(session, "sage paint")
    a_material(session, "Ash paint")
    sheets = a_material(session, "Sandpaper", klass=MaterialClass.ABRASIVE, unit=Unit.SHEET)
    a_use(session, paint)
    rows = material_rows(session)
    assert [row.name for row in rows] == ["Sandpaper", "Ash paint", "sage paint"]
    assert [(row.left_milli, row.value_cents, row.is_bought) for row in rows] == [
        (0, 0, False),
        (0, 0, False),
        (750_000, 1_500, True),
    ]
    assert [row.average for row in rows] == [None, None, Fraction(1_500, 750_000)]
    assert material_by_id(session, sheets.id).class_words == "Abrasive"
    with pytest.raises(NotFound):
        material_by_id(session, 99)


def test_what_is_left_starts_again_from_the_last_count_that_stands(session: Session, now: datetime) -> None:
    paint = a_stocked_material(session)
    a_use(session, paint, on_date=date(2026, 11, 5))
    a_count(session, paint, 700_000, on_date=date(2026, 11, 10))
    last = a_count(session, paint, 600_000, on_date=date(2026, 11, 10))
    a_use(session, paint, milli=100_000, on_date=date(2026, 11, 10))
    a_use(session, paint, milli=50_000, on_date=date(2026, 11, 11))
    assert material_by_id(session, paint.id).left_milli == 550_000
    strike_count(session, last.id, reason="x", now=now)
    assert material_by_id(session, paint.id).left_milli == 650_000


def test_the_low_ones_are_those_at_their_level_or_short_and_not_put_away(session: Session) -> None:
    low = a_material(session, "Low", reorder_milli=1_000_000)
    a_purchase(session, low)
    away = a_material(session, "Away", reorder_milli=1_000_000, is_put_away=True)
    a_purchase(session, away)
    enough = a_material(session, "Enough", reorder_milli=999_999)
    a_purchase(session, enough)
    short = a_stocked_material(session, "Short")
    a_use(session, short, milli=1_000_001)
    assert [row.name for row in low_materials(session)] == ["Low", "Short"]
    assert len(material_rows(session, include_put_away=False)) == 3


def test_a_material_shows_everything_with_what_was_left_after_it(session: Session, now: datetime) -> None:
    piece, paint = a_piece(session, title="Oak chest"), a_stocked_material(session)
    a_use(session, paint, piece.id, 1_200_000, note="two coats")
    wrong = a_use(session, paint, None, 10_000)
    strike_use(session, wrong.id, reason="twice", now=now)
    a_purchase(session, paint, 1_000_000, 3_000, on_date=date(2026, 11, 15), bought_at="paint store", note="again")
    a_count(session, paint, 700_000, on_date=date(2026, 11, 16))
    count, again, struck, use, first = material_lines(session, paint.id)
    assert (count.kind, count.missing_milli, count.cost_cents) == (RowKind.COUNTED, 100_000, 300)
    assert (again.paid_cents, again.bought_at, again.after) == (3_000, "paint store", again.after)
    assert [line.after.milli if line.after else None for line in (first, use, struck, again, count)] == [
        1_000_000,
        -200_000,
        None,
        800_000,
        700_000,
    ]
    assert (struck.is_struck, struck.struck_reason, struck.cost_cents) == (True, "twice", 0)
    assert (use.piece_tag, use.piece_name, use.note, use.short_milli, use.open_milli) == (
        piece.tag,
        "Oak chest",
        "two coats",
        200_000,
        0,
    )
    assert (use.charged_cents, use.settled_cents, use.cost_cents) == (2_400, 200, 2_600)
    assert (first.table, use.table, count.table) == ("shelf_purchase", "shelf_use", "shelf_count")


def test_a_piece_shows_what_it_used_and_what_was_taken_off_it(session: Session, now: datetime) -> None:
    piece, paint = a_piece(session), a_stocked_material(session)
    pulls = a_material(session, "Pulls", klass=MaterialClass.HARDWARE, unit=Unit.EACH)
    a_use(session, paint, piece.id, 1_100_000)
    a_use(session, paint)
    strike_use(session, a_use(session, paint, piece.id, on_date=date(2026, 11, 12)).id, reason="x", now=now)
    some_parts(session, pulls, piece.id)
    struck, use = uses_of(session, piece.id)
    assert (use.material_name, use.cost_cents, use.open_milli, struck.is_struck) == ("Sage paint", 2_200, 100_000, True)
    assert counted_cost([struck, use]) == 2_200
    (parts,) = parts_of(session, piece.id)
    assert (parts.is_off_a_piece, parts.paid_cents, parts.piece_tag) == (True, 800, piece.tag)
    assert line_by_id(session, RowKind.USED, use.id) == line_by_id(session, RowKind.USED, use.id)
    with pytest.raises(NotFound):
        line_by_id(session, RowKind.COUNTED, 9)


def test_the_can_is_what_was_bought_last_and_parts_off_a_piece_are_none(session: Session, now: datetime) -> None:
    pulls = a_material(session, "Pulls", klass=MaterialClass.HARDWARE, unit=Unit.EACH)
    assert last_can(session, pulls.id) is None
    some_parts(session, pulls, a_piece(session).id)
    assert last_can(session, pulls.id) is None
    a_purchase(session, pulls, 10_000, on_date=date(2026, 11, 3))
    later = a_purchase(session, pulls, 12_000, on_date=date(2026, 11, 4))
    assert (can := last_can(session, pulls.id)) is not None
    assert (can.milli, can.on) == (12_000, date(2026, 11, 4))
    strike_purchase(session, later.id, reason="x", now=now)
    assert (can := last_can(session, pulls.id)) is not None
    assert can.milli == 10_000


def test_what_was_left_on_a_day_knows_nothing_of_later_rows_and_the_days_own_count(session: Session) -> None:
    paint = a_stocked_material(session)
    a_use(session, paint)
    a_count(session, paint, 10_000)
    a_use(session, paint, milli=5_000, on_date=date(2026, 11, 12))
    days = [date(2026, 11, 1), date(2026, 11, 9), USED, date(2026, 11, 11)]
    assert [left_on(session, paint.id, day) for day in days] == [0, 1_000_000, 750_000, 10_000]


def test_pieces_on_hand_and_places_are_offered_the_latest_first(session: Session) -> None:
    first, second = a_piece(session), a_piece(session, bought_on=date(2026, 10, 2))
    a_sold_piece(session)
    assert [row.tag for row in pieces_on_hand(session)] == [second.tag, first.tag]
    paint = a_material(session)
    for place in ("paint store", "", "hardware store", "paint store"):
        a_purchase(session, paint, bought_at=place)
    assert places_bought_at(session) == ["paint store", "hardware store"]


@pytest.mark.parametrize(
    ("spoil", "broken"),
    [
        ("cents", {"Materials whose charges", "On the shelf", "Materials of which"}),
        ("lost", {"Materials whose charges", "Charges of the shelf without"}),
        ("struck", {"Materials whose charges", "On the shelf", "Materials of which", "Charges of the shelf for rows"}),
        ("gone", {"Materials whose charges", "On the shelf", "Materials of which"}),
    ],
)
def test_the_proof_finds_what_is_wrong_and_names_it(
    session: Session, now: datetime, spoil: str, broken: set[str]
) -> None:
    paint = a_stocked_material(session)
    use = a_use(session, paint)
    assert [found.holds for found in shelf_findings(session)] == [True] * 5
    charge = session.scalars(select(ShelfCharge)).one()
    if spoil == "cents":
        charge.cents += 1
    elif spoil == "lost":
        charge.use_id = None
    elif spoil == "struck":
        use.struck_at, use.struck_reason = now, "behind its back"
    else:
        session.delete(charge)
    session.flush()
    wrong = [finding for finding in shelf_findings(session) if not finding.holds]
    assert {part for part in broken for finding in wrong if finding.name.startswith(part)} == broken
    assert len(wrong) == len(broken)
    assert wrong[0].materials == ("Sage paint",)


def test_more_rows_take_no_more_queries(session: Session) -> None:
    piece = a_piece(session)
    asked: list[str] = []
    event.listen(session.connection(), "before_cursor_execute", lambda *said: asked.append(said[2]))
    counts = []
    for number in range(2):
        for place in range(4):
            paint = a_stocked_material(session, f"Paint {number}{place}")
            a_use(session, paint, piece.id, 600_000)
            a_use(session, paint, piece.id, 600_000)
        first = session.scalars(select(Material.id)).first() or 0
        session.expire_all()
        asked.clear()
        material_rows(session)
        uses_of(session, piece.id)
        material_lines(session, first)
        shelf_findings(session)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_facts_come_back_as_they_went_in(session: Session) -> None:
    material = a_material(session, colour="#112233", reorder_milli=5)
    facts = facts_of(material)
    correct_material(session, material.id, facts, version=None)
    assert facts_of(material) == facts
