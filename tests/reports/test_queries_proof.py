"""The proof of the books on the real ledger: it holds for a sound one, and each fault is found and named."""

from datetime import date
from typing import Any

import pytest
from sqlalchemy import select, text
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.costs.rules import AdjustedPart
from app.desk.actions import strike_find, take_parts
from app.pieces.actions import leave, split_off
from app.pieces.models import Piece
from app.pieces.rules import Leaving, SplitPart
from app.reports.actions import close_month
from app.reports.models import WriteDown
from app.reports.queries import prove_ledger
from app.reports.queries.records import record_findings
from app.reports.rules import Finding
from app.sales.models import Sale
from app.sales.rules import DepositEnding
from app.shelf.rules import MaterialClass, NewParts, Unit
from tests.builders.beside import (
    a_deposit,
    a_refund,
    corrected,
    ended,
)
from tests.builders.pieces import a_haul, a_piece
from tests.builders.reports import NOW, a_round, came_back, found, listed, sold, spent, worked
from tests.builders.shelf import a_count, a_material, a_purchase, a_use
from tests.builders.trips import a_trip

FOUND = date(2026, 10, 3)
LATER = date(2026, 10, 20)
TODAY = date(2026, 11, 25)

HALF_STRUCK = "struck out without a reason, or with one and not struck out"
NO_ROW_OF_RECEIPT = "Receipts without a cost line, a purchase for the shelf or a trip"
NO_ROW_OF_CORRECTION = "Corrections of a row that is not there on that day, or is struck out"

# A fault done to the stored rows behind the program's back, and the finding that must name it.
FAULTS = {
    "UPDATE piece SET stage = 'finished' WHERE title = 'Listed'": "Pieces whose stage is not that of their last step",
    "DELETE FROM step WHERE piece_id = (SELECT id FROM piece WHERE title = 'Bench')": (
        "Pieces whose stage is not that of their last step"
    ),
    "UPDATE listing SET ended_on = '2026-10-21' WHERE piece_id = (SELECT id FROM piece WHERE title = 'Listed')": (
        "Pieces on the floor without exactly one open listing, or off it with one"
    ),
    "UPDATE listing SET ended_on = NULL WHERE piece_id = (SELECT id FROM piece WHERE title = 'Sold')": (
        "Pieces on the floor without exactly one open listing, or off it with one"
    ),
    "UPDATE sale SET struck_at = made_at, struck_reason = 'x' WHERE price_cents = 20000": (
        "Pieces sold without exactly one sale that stands, or not sold with one"
    ),
    "UPDATE sale_return SET struck_at = made_at, struck_reason = 'x'": (
        "Pieces sold without exactly one sale that stands, or not sold with one"
    ),
    "UPDATE leaving SET back_on = '2026-10-22'": (
        "Pieces that left without one leaving that stands, or are here with one"
    ),
    "UPDATE leaving SET how = 'kept'": "Pieces that left without one leaving that stands, or are here with one",
    "UPDATE purchase SET struck_at = made_at, struck_reason = 'x' WHERE piece_id = (SELECT MIN(id) FROM piece)": (
        "Pieces without exactly one purchase that counts, or split off or struck out with one"
    ),
    "UPDATE haul SET price_cents = price_cents + 1": "Hauls and the shares of their pieces: price",
    "UPDATE haul SET premium_cents = premium_cents + 1": "Hauls and the shares of their pieces: premium",
    "UPDATE purchase SET tax_cents = tax_cents + 1 WHERE haul_id IS NOT NULL": (
        "Hauls and the shares of their pieces: tax"
    ),
    "UPDATE sale SET price_cents = 0 WHERE price_cents = 20000": (
        "Sales for nothing, or with more fees or tax than they brought"
    ),
    "UPDATE sale SET fees_cents = 20001 WHERE price_cents = 20000": (
        "Sales for nothing, or with more fees or tax than they brought"
    ),
    "UPDATE sale SET tax_cents = 20001 WHERE price_cents = 20000": (
        "Sales for nothing, or with more fees or tax than they brought"
    ),
    "UPDATE sale SET sold_on = '2026-10-01' WHERE price_cents = 20000": "Sales dated before the piece was found",
    "UPDATE sale_return SET refund_cents = 9001": "Returns that give back more than their sale brought",
    "UPDATE sale_return SET tax_refunded_cents = 1": "Returns that give back more than their sale brought",
    "UPDATE sale_return SET fees_back_cents = 1": "Returns that give back more than their sale brought",
    "UPDATE sale_return SET delivery_back_cents = 1": "Returns that give back more than their sale brought",
    "UPDATE sale_return SET returned_on = '2026-10-19'": "Returns dated before their sale",
    "UPDATE sale SET struck_at = made_at, struck_reason = 'x' WHERE price_cents = 9000": (
        "Returns that count although their sale is struck out"
    ),
    "DELETE FROM step WHERE kind = 'sale'": "Pieces with a sale without its step",
    "DELETE FROM step WHERE kind = 'return'": "Pieces with a return without its step",
    "DELETE FROM step WHERE kind = 'out'": "Pieces with a leaving without its step",
    "INSERT INTO step (piece_id, kind, to_stage, on_date, reason, made_at)"
    " SELECT id, 'in_again', stage, '2026-10-22', '', made_at FROM piece WHERE title = 'Gone'": (
        "Pieces with a coming back without its step"
    ),
    "UPDATE cost_line SET struck_at = made_at": (f"Cost lines {HALF_STRUCK}"),
    "UPDATE piece SET struck_at = made_at": f"Pieces {HALF_STRUCK}",
    "UPDATE step SET struck_reason = 'x'": f"Steps {HALF_STRUCK}",
    "UPDATE purchase SET struck_reason = 'x'": f"Purchases {HALF_STRUCK}",
    "UPDATE time_entry SET struck_at = made_at": (f"Time entries {HALF_STRUCK}"),
    "UPDATE sale SET struck_reason = 'x'": f"Sales {HALF_STRUCK}",
    "UPDATE sale_return SET struck_reason = 'x'": f"Returns {HALF_STRUCK}",
    "UPDATE sale_refund SET struck_reason = 'x'": f"Refunds in part {HALF_STRUCK}",
    "UPDATE deposit SET struck_at = made_at": f"Deposits {HALF_STRUCK}",
    "UPDATE deposit_end SET struck_at = made_at": f"Endings of deposits {HALF_STRUCK}",
    "UPDATE shelf_purchase SET struck_at = made_at": f"Purchases for the shelf {HALF_STRUCK}",
    "UPDATE shelf_use SET struck_at = made_at": f"Uses of the shelf {HALF_STRUCK}",
    "UPDATE shelf_count SET struck_at = made_at": f"Counts of the shelf {HALF_STRUCK}",
    "UPDATE trip SET struck_at = made_at": f"Trips {HALF_STRUCK}",
    "UPDATE adjustment SET struck_reason = 'x'": f"Corrections {HALF_STRUCK}",
    "UPDATE write_down SET struck_reason = 'x'": f"Write-downs {HALF_STRUCK}",
    "UPDATE photo SET removed_at = made_at WHERE sha256 = 'ab'": "Cost lines whose receipt is gone",
    "UPDATE photo SET removed_at = made_at WHERE sha256 = 'cd'": "Purchases for the shelf whose receipt is gone",
    "UPDATE photo SET removed_at = made_at WHERE sha256 = 'ef'": "Trips whose receipt is gone",
    "UPDATE cost_line SET receipt_photo_id = NULL": NO_ROW_OF_RECEIPT,
    "UPDATE shelf_purchase SET receipt_photo_id = NULL": NO_ROW_OF_RECEIPT,
    "UPDATE trip SET receipt_photo_id = NULL": NO_ROW_OF_RECEIPT,
    "UPDATE adjustment SET corrects_id = 999": NO_ROW_OF_CORRECTION,
    "UPDATE adjustment SET corrects_table = 'piece'": NO_ROW_OF_CORRECTION,
    "UPDATE adjustment SET corrects_on = '2026-09-01'": NO_ROW_OF_CORRECTION,
    "DELETE FROM closed_month": "Corrections of a row that is not in a closed month",
    "UPDATE closed_month SET month = '2026-08'": "Corrections of a row that is not in a closed month",
    "UPDATE write_down SET piece_id = (SELECT id FROM piece WHERE title = 'Struck')": (
        "Write-downs of a piece that was struck out"
    ),
    "UPDATE shelf_charge SET piece_id = (SELECT id FROM piece WHERE title = 'Struck')": (
        "The shelf at cost, October 2026"
    ),
    "UPDATE deposit SET piece_id = (SELECT id FROM piece WHERE title = 'Struck')": (
        "Deposits owed to buyers, October 2026"
    ),
    "UPDATE trip_piece SET cents = cents + 1": "Trips and the shares of them, October 2026",
    "UPDATE shelf_purchase SET from_piece_id = (SELECT id FROM piece WHERE title = 'Struck')"
    " WHERE from_piece_id IS NOT NULL": "Parts off pieces and on the shelf, October 2026",
    "UPDATE sale_return SET sale_id = (SELECT id FROM sale WHERE price_cents = 20000)": (
        "Pieces whose rows cannot have happened in their order"
    ),
}


@pytest.fixture
def sound(session: Session) -> Session:
    """A small shop with one of everything the proof looks at."""
    a_round(session, "Sold", FOUND, LATER)
    listed(session, found(session, FOUND, 5_000, "Listed"), FOUND)
    came_back(session, sold(session, found(session, FOUND, 6_000, "Back"), LATER, 9_000), LATER, 9_000)
    gone = found(session, FOUND, 700, "Gone")
    leave(session, gone.id, Leaving.SCRAPPED, on_date=LATER, reason="worm", version=None, now=NOW)
    worked(session, found(session, FOUND, 100, "Bench"), FOUND, 20)
    a_haul(session, premium_cents=1_001, tax_cents=333)
    chairs = a_piece(session, count=2, title="Chairs")
    parts = (SplitPart("", 1, 1), SplitPart("", 1, 1))
    split_off(session, chairs.id, parts, cents=4_000, minutes=0, on_date=LATER, version=None, now=NOW)
    receipts_and_corrections(session)
    return session


def receipts_and_corrections(session: Session) -> None:
    """A row of everything that stands beside the pieces' own costs, three of them with their receipts."""
    sale = session.scalars(select(Sale).order_by(Sale.id)).first()
    piece = session.scalars(select(Piece).where(Piece.title == "Listed")).one()
    assert sale is not None
    early = spent(session, None, date(2026, 9, 9), 400)
    close_month(session, Month(2026, 9), now=NOW)
    knobs = a_material(session, "Knobs", klass=MaterialClass.HARDWARE, unit=Unit.EACH)
    rows: list[Any] = [spent(session, None, LATER, 3_000), a_purchase(session, knobs, 10_000, 900, on_date=LATER)]
    rows.append(a_trip(session, piece.id, on_date=LATER, extra_cents=101))
    for row, name in zip(rows, ("ab", "cd", "ef"), strict=True):
        session.execute(text(RECEIPT), {"at": NOW.replace(tzinfo=None), "name": name})
        row.receipt_photo_id = session.scalar(text("SELECT max(id) FROM photo"))
    parts = NewParts(knobs.id, piece.id, 4_000, 80, LATER)
    take_parts(session, parts, new_name="", capture_id="off", now=NOW)
    a_use(session, knobs, piece.id, 2_000, on_date=LATER)
    a_count(session, knobs, 1_000, on_date=LATER)
    a_refund(session, sale, LATER, 500)
    ended(session, a_deposit(session, piece, LATER, 2_000), DepositEnding.KEPT, date(2026, 11, 2), cents=500)
    struck_out = found(session, FOUND, 100, "Struck")
    strike_find(session, struck_out.id, reason="logged twice", version=None, now=NOW)
    corrected(session, AdjustedPart.SHOP_COST, LATER, 100, corrects=early)
    session.add(WriteDown(piece_id=piece.id, capture_id="w", on_date=LATER, made_at=NOW, reason="dull", **WRITTEN))
    session.flush()


WRITTEN = {"price_expected_cents": 100, "finish_cents": 0, "sell_cents": 0, "cost_cents": 200, "cents": 100}
RECEIPT = (
    "INSERT INTO photo (sha256, shows, position, width, height, bytes, kind, given_name, made_at)"
    " VALUES (:name, 'receipt', 0, 1, 1, 1, 'png', '', :at)"
)


def broken(session: Session) -> list[Finding]:
    session.flush()
    session.expire_all()
    return [finding for finding in prove_ledger(session, TODAY) if not finding.holds]


def test_every_finding_holds_on_a_sound_ledger(sound: Session) -> None:
    assert broken(sound) == []


def test_every_finding_holds_on_an_empty_ledger(session: Session) -> None:
    assert broken(session) == []


@pytest.mark.parametrize(("fault", "name"), FAULTS.items())
def test_a_fault_in_the_records_is_found(sound: Session, fault: str, name: str) -> None:
    sound.execute(text(fault))

    assert name in [finding.name for finding in broken(sound)]


def test_every_finding_of_the_records_is_shown_to_fail(session: Session) -> None:
    assert {finding.name for finding in record_findings(session)} <= set(FAULTS.values())


def test_the_pieces_at_fault_are_named(sound: Session) -> None:
    piece = found(sound, FOUND, 100, "Odd one")
    sound.execute(text("UPDATE piece SET stage = 'prepped' WHERE title = 'Odd one'"))

    (finding,) = broken(sound)

    assert (finding.left, finding.right, finding.tags) == (1, 0, (piece.tag,))


def test_a_row_dated_before_the_books_began_is_proven_too(sound: Session) -> None:
    sound.execute(text("UPDATE cost_line SET on_date = '2023-02-01' WHERE piece_id IS NULL"))

    assert any(finding.name == "Stock at cost, February 2023" for finding in prove_ledger(sound, TODAY))


def test_a_wrong_sum_in_one_haul_is_not_hidden_by_another(session: Session) -> None:
    first, second = a_haul(session), a_haul(session)
    first.price_cents += 100
    second.price_cents -= 100

    (finding,) = broken(session)

    assert finding.left == finding.right
    assert len(finding.tags) == 6
