"""The tax-year worksheet: its identities, that nothing of the books is lost on it, and what each line opens to."""

from datetime import date
from pathlib import Path
from uuid import uuid4

from hypothesis import settings
from sqlalchemy.orm import Session

from app.basics.dates import Month, months_between
from app.costs.rules import AdjustedPart, CostKind
from app.pieces.actions import leave
from app.pieces.models import Piece
from app.pieces.rules import Leaving
from app.reports.formats import line_map
from app.reports.queries import days_known, months_of
from app.reports.queries.worksheet import car_facts, rows_of_key, total_of_key, worksheet_findings, worksheet_of
from app.reports.rules.worksheet import Worksheet, left_out
from app.reports.rules.worksheet_words import words_of_key
from app.sales.models import Deposit, DepositEnd
from app.sales.rules import DepositEnding
from app.shelf.models import Material, ShelfCharge, ShelfPurchase
from app.shelf.rules import ChargeKind, MaterialClass, Unit
from app.trips.models import CarYear, Trip, TripPiece
from app.trips.rules import CountsAs, DistanceUnit, TripPurpose
from tests.builders.pieces import an_owned_piece
from tests.builders.reports import NOW, came_back, found, sold, spent, worked
from tests.builders.taxes import a_write_down, corrected, refunded
from tests.conftest import SHOP
from tests.reports.counting import a_shop_of, queries_of
from tests.reports.walking import hold_after_walks

TODAY = date(2026, 11, 25)


def sheet_of(session: Session, year: int = 2026, *, is_lower: bool = False) -> Worksheet:
    session.flush()
    return worksheet_of(session, line_map(year), TODAY, is_lower=is_lower)


def amounts(sheet: Worksheet) -> dict[str, int]:
    return {number: filled.cents for number, filled in sheet.lines.items() if filled.cents}


def a_trip(
    session: Session,
    on: date,
    cents: int,
    *pieces: Piece,
    purpose: TripPurpose = TripPurpose.DELIVER,
    actual: bool = False,
    extra: int = 0,
) -> Trip:
    trip = Trip(
        capture_id=str(uuid4()),
        on_date=on,
        purpose=purpose,
        purpose_words="",
        from_place="home",
        to_place="barn",
        distance_hundredths=10_00,
        distance_unit=DistanceUnit.MILE,
        counts_as=CountsAs.ACTUAL if actual else CountsAs.RATE,
        rate_hundredths=None if actual else 7_250,
        rate_unit=None if actual else DistanceUnit.MILE,
        extra_cents=extra,
        actual_cents=cents if actual else 0,
        charged_cents=cents,
        by_value=False,
        note="",
        made_at=NOW,
    )
    session.add(trip)
    session.flush()
    for piece in pieces:
        session.add(TripPiece(trip_id=trip.id, piece_id=piece.id, weight=1, cents=cents // len(pieces)))
    return trip


def on_the_shelf(session: Session, on: date, cents: int, *, taken_off: Piece | None = None) -> Material:
    material = Material(
        name=f"Wax {uuid4()}"[:40],
        klass=MaterialClass.WAX,
        unit=Unit.G,
        sheen="",
        note="",
        is_put_away=False,
        made_at=NOW,
    )
    session.add(material)
    session.flush()
    session.add(
        ShelfPurchase(
            capture_id=str(uuid4()),
            material_id=material.id,
            from_piece_id=taken_off.id if taken_off else None,
            on_date=on,
            quantity_milli=1_000_000,
            price_cents=cents,
            tax_cents=0,
            bought_at="",
            note="",
            made_at=NOW,
        )
    )
    return material


def used(session: Session, material: Material, on: date, cents: int, piece: Piece | None = None) -> None:
    kind = ChargeKind.USE if piece else ChargeKind.COUNT
    about = {"material_id": material.id, "piece_id": piece.id if piece else None}
    session.add(ShelfCharge(kind=kind, on_date=on, quantity_milli=1_000, short_milli=0, cents=cents, **about))


def a_kept_deposit(session: Session, piece: Piece, on: date, cents: int) -> None:
    told = {"on_date": on, "made_at": NOW}
    deposit = Deposit(capture_id=str(uuid4()), piece_id=piece.id, payer="Ann", amount_cents=cents, note="", **told)
    session.add(deposit)
    session.flush()
    end = {"deposit_id": deposit.id, "how": DepositEnding.KEPT, "cents": cents, "reason": "never came back"}
    session.add(DepositEnd(**end, **told))


def a_full_year(session: Session) -> dict[str, Piece]:
    """Something of every kind in 2026, and a piece from the year before."""
    old = found(session, date(2025, 6, 1), 40_00, "Old chest", premium=5_00, tax=3_00)
    spent(session, old, date(2025, 7, 1), 12_00)
    chair = found(session, date(2026, 2, 1), 20_00, "Chair")
    spent(session, chair, date(2026, 2, 3), 4_00, kind=CostKind.REPAIR)
    spent(session, chair, date(2026, 2, 3), 3_00, kind=CostKind.PICKUP)
    spent(session, chair, date(2026, 2, 3), 2_50, kind=CostKind.HARDWARE)
    worked(session, chair, date(2026, 2, 4), 600)
    stool = found(session, date(2026, 3, 1), 7_00, "Stool")
    leave(session, stool.id, Leaving.KEPT, on_date=date(2026, 4, 1), reason="mine", version=None, now=NOW)
    gone = found(session, date(2026, 3, 1), 6_00, "Bench")
    leave(session, gone.id, Leaving.SCRAPPED, on_date=date(2026, 4, 1), reason="worm", version=None, now=NOW)
    wax = on_the_shelf(session, date(2026, 2, 1), 30_00)
    used(session, wax, date(2026, 2, 5), 8_00, chair)
    used(session, wax, date(2026, 3, 5), 1_50)
    on_the_shelf(session, date(2026, 2, 6), 2_00, taken_off=chair)
    a_trip(session, date(2026, 2, 1), 6_00, chair, purpose=TripPurpose.FETCH, actual=True)
    a_trip(session, date(2026, 2, 7), 9_25, chair, extra=2_00)
    a_trip(session, date(2026, 5, 7), 5_00)
    sale = sold(session, old, date(2026, 5, 1), 200_00, delivery=(25_00, 18_00), fees=6_00, tax=14_00)
    refunded(session, sale, date(2026, 5, 9), 10_00, tax=70, fees=1_00)
    spent(session, old, date(2026, 6, 1), 5_30, kind=CostKind.REPAIR)
    back = sold(session, chair, date(2026, 6, 1), 90_00, fees=2_70)
    came_back(session, back, date(2026, 6, 9), 90_00, fees=1_50)
    a_kept_deposit(session, chair, date(2026, 7, 1), 15_00)
    for kind in (CostKind.RENT, CostKind.TOOLS, CostKind.SUNDRIES, CostKind.ADVERTISING, CostKind.INSURANCE):
        spent(session, None, date(2026, 8, 1), 10_00, kind=kind)
    other = spent(session, None, date(2026, 8, 1), 3_00, kind=CostKind.OTHER)
    corrected(session, "sale", sale.id, AdjustedPart.PRICE, 2_00, on=date(2026, 9, 1), piece_id=old.id)
    corrected(session, "sale", sale.id, AdjustedPart.FEES, 25, on=date(2026, 9, 1), piece_id=old.id)
    corrected(session, "sale", sale.id, AdjustedPart.DELIVERY_PAID, 50, on=date(2026, 9, 1), piece_id=old.id)
    corrected(session, "sale_refund", 1, AdjustedPart.REFUND, 30, on=date(2026, 9, 1), piece_id=old.id)
    corrected(session, "trip", 2, AdjustedPart.MILEAGE, 75, on=date(2026, 9, 1), piece_id=chair.id)
    corrected(session, "purchase", 1, AdjustedPart.COST, 60, on=date(2026, 9, 1), piece_id=chair.id)
    corrected(session, "cost_line", other.id, AdjustedPart.SHOP_COST, 1_00, on=date(2026, 9, 1))
    return {"old": old, "chair": chair}


def test_every_line_carries_what_belongs_on_it(session: Session) -> None:
    a_full_year(session)

    assert amounts(sheet_of(session)) == {
        "1": 200_00 + 25_00 + 90_00 + 2_00,
        "2": 10_00 + 90_00 + 30,
        "3": 216_70,
        "4": 71_30,
        "5": 145_40,
        "6": 15_00,
        "7": 160_40,
        "8": 10_00,
        "9": 9_25 + 5_00 + 75,
        "10": 6_00 - 1_00 + 2_70 - 1_50 + 25,
        "15": 10_00,
        "20b": 10_00,
        "22": 10_00 + 10_00 + 1_50,
        "27b": 22_50,
        "28": 95_45,
        "29": 64_95,
        "31": 64_95,
        "35": 60_00,
        "36": 20_00 + 7_00 + 6_00 - 7_00,
        "37": 4_00 + 5_30,
        "38": 2_50 + 8_00 - 2_00,
        "39": 3_00 + 6_00 + 60,
        "40": 113_40,
        "41": 20_00 + 9_50 + 8_00 - 2_00 + 6_00 + 60,
        "42": 71_30,
        "48": 18_00 + 50 + 3_00 + 1_00,
    }


def test_the_lines_add_up_as_the_form_asks(session: Session) -> None:
    a_full_year(session)
    line = {number: filled.cents for number, filled in sheet_of(session).lines.items()}

    expenses = [number for number in line if 8 <= int(number.rstrip("ab")) <= 27]
    assert line["3"] == line["1"] - line["2"]
    assert (line["4"], line["27b"]) == (line["42"], line["48"])
    assert line["5"] == line["3"] - line["4"]
    assert line["7"] == line["5"] + line["6"]
    assert line["28"] == sum(line[number] for number in expenses)
    assert line["29"] == line["7"] - line["28"]
    assert line["31"] == line["29"] - line["30"]
    assert line["40"] == sum(line[number] for number in ("35", "36", "37", "38", "39"))
    assert line["42"] == line["40"] - line["41"]


def test_its_profit_is_that_of_the_months_and_nothing_of_the_books_is_lost(session: Session) -> None:
    a_full_year(session)
    sheet = sheet_of(session)

    assert faults(session) == []
    assert sheet.profit == sheet.sums.profit == profit_of_months(session, 2026)
    assert sheet.difference == 0


def test_the_check_proves_every_years_worksheet(session: Session) -> None:
    assert list(worksheet_findings(session)) == []
    a_full_year(session)

    told = list(worksheet_findings(session))

    assert len(told) == 5
    assert [name for name, left, right in told if left != right] == []


def test_last_years_end_is_this_years_beginning(session: Session) -> None:
    a_full_year(session)

    assert amounts(sheet_of(session, 2025))["41"] == amounts(sheet_of(session))["35"] == 60_00


def test_what_was_owned_when_the_books_began_is_the_first_years_beginning(session: Session) -> None:
    an_owned_piece(session, cost_cents=25_00)

    lines = amounts(sheet_of(session, SHOP.started_on.year))

    assert (lines["35"], lines["41"]) == (25_00, 25_00)
    assert "42" not in lines


def test_the_owners_hours_reach_no_line(session: Session) -> None:
    pieces = a_full_year(session)
    before = amounts(sheet_of(session))

    worked(session, pieces["chair"], date(2026, 9, 9), 600)
    worked(session, None, date(2026, 9, 9), 600)

    assert amounts(sheet_of(session)) == before


def test_write_downs_are_in_it_only_where_they_were_chosen_and_the_difference_is_named(session: Session) -> None:
    pieces = a_full_year(session)
    a_write_down(session, pieces["old"], 50_00, on=date(2025, 12, 31))
    a_write_down(session, pieces["chair"], 30_00, on=date(2026, 11, 1))

    plain, lower = sheet_of(session), sheet_of(session, is_lower=True)

    assert plain.written == lower.written == (10_00, 12_10)
    assert (plain.difference, plain.by_write_downs) == (0, 0)
    assert (amounts(lower)["35"], amounts(lower)["41"]) == (50_00, 30_00)
    assert (lower.difference, lower.by_write_downs, lower.unexplained) == (-2_10, -2_10, 0)
    assert amounts(sheet_of(session, 2025, is_lower=True))["41"] == amounts(lower)["35"]


def test_every_line_opens_to_rows_that_make_it(session: Session) -> None:
    pieces = a_full_year(session)
    a_write_down(session, pieces["chair"], 30_00, on=date(2026, 11, 1))
    sheet = sheet_of(session, is_lower=True)

    opened = 0
    for filled in sheet.lines.values():
        for part in filled.parts:
            if part.take not in filled.line.takes:
                continue
            rows = rows_of_key(session, part.take.key, 2026, TODAY)
            told = total_of_key(session, part.take.key, 2026, TODAY)
            assert (len(rows), sum(row.cents for row in rows)) == told
            assert part.take.sign * told[1] == part.cents, (filled.line.number, part.take.key)
            assert words_of_key(part.take.key)
            opened += bool(rows)
    assert opened >= 25


def test_a_page_of_rows_is_part_of_all_of_them(session: Session) -> None:
    a_full_year(session)
    for key in ("stock:bought", "stock:at_start"):
        whole = rows_of_key(session, key, 2026, TODAY)
        assert rows_of_key(session, key, 2026, TODAY, limit=1) == whole[:1]
        assert rows_of_key(session, key, 2026, TODAY, limit=5, offset=1) == whole[1:6]


def test_the_worksheet_asks_as_many_queries_for_many_pieces_as_for_few(session: Session) -> None:
    a_write_down(session, found(session, date(2026, 9, 1), 50_00), 20_00)
    a_shop_of(session, 1)
    few = queries_of(session, lambda: sheet_of(session, is_lower=True))
    a_shop_of(session, 6)

    assert queries_of(session, lambda: sheet_of(session, is_lower=True)) == few


def test_after_any_walk_of_a_shop_the_worksheets_meet_the_books(
    migrated_file: Path, tmp_path: Path, *, is_long: bool
) -> None:
    count = settings().max_examples if is_long else 15
    hold_after_walks(migrated_file, tmp_path, faults, walks=count, steps=30)


def test_miles_of_the_year_and_what_was_said_of_the_car(session: Session) -> None:
    a_trip(session, date(2026, 2, 7), 9_25)
    a_trip(session, date(2026, 3, 7), 9_25).distance_unit = DistanceUnit.KM
    a_trip(session, date(2025, 3, 7), 9_25)
    session.flush()
    assert car_facts(session, 2026).business == 16
    assert car_facts(session, 2026).other is None

    said = {"unit": DistanceUnit.MILE, "total_hundredths": 100_00, "commuting_hundredths": 20_00}
    session.add(CarYear(year=2026, in_service_on=date(2020, 1, 1), **said))
    session.flush()

    facts = car_facts(session, 2026)
    assert (facts.business, facts.commuting, facts.other) == (16, 20, 64)


def profit_of_months(session: Session, year: int) -> int:
    return sum(month.profit for month in months_of(session, months_between(Month(year, 1), Month(year, 12))))


def faults(session: Session) -> list[str]:
    """Everything in which a year's worksheet does not meet the books, told by the walk through every piece."""
    span = days_known(session)
    found_faults: list[str] = []
    if span is None:
        return found_faults
    closing = None
    for year in range(span[0].year, TODAY.year + 1):
        sheet = worksheet_of(session, line_map(year), TODAY)
        if sheet.profit != profit_of_months(session, year):
            found_faults.append(f"{year}: {sheet.profit} is not {profit_of_months(session, year)}")
        found_faults += [f"{year}: {path} is lost" for path in left_out(sheet.map, sheet.sums.amounts)]
        opening = sheet.amount("stock:at_start")
        if closing is not None and opening != closing:
            found_faults.append(f"{year}: begins with {opening}, the year before ended with {closing}")
        closing = sheet.lines["41"].cents
    return found_faults
