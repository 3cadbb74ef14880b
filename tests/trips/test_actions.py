"""Writing trips down, sharing them, striking them out; own rates charge anew what lies in open months."""

from datetime import date, datetime
from io import BytesIO
from pathlib import Path

import pytest
from sqlalchemy import func, select, text
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.quantities import Units
from app.basics.striking import AlreadyStruck
from app.photos.models import Photo
from app.photos.rules import Shows
from app.photos.store import keep
from app.pieces.actions import strike_find
from app.shop.actions import keep_closed
from app.shop.models import Shop
from app.shop.rules import MonthFigures, MonthIsClosed
from app.trips.actions import add_rate, add_trip, save_car_year, strike_rate, strike_trip
from app.trips.models import MileageRate, Trip, TripPiece
from app.trips.queries import car_year_sheet, plan_of_adding, plan_of_striking, trip_by_id, trip_findings
from app.trips.rules import CarFacts, Distance, RateGap
from tests.builders.photos import photo_bytes
from tests.builders.pieces import NOW, a_piece
from tests.builders.trips import KM, MILE, a_car_year, a_rate, a_trip, an_actual_trip, miles, some_rate, some_trip

OCTOBER = date(2026, 10, 20)


def close_october(session: Session) -> None:
    month = Month(2026, 10)
    keep_closed(session, month, MonthFigures(0, 0, 0, 0, 0), first=month, now=NOW)


def charged(session: Session, trip: Trip) -> tuple[int, list[int]]:
    row = trip_by_id(session, trip.id)
    return row.charged_cents, [share.cents for share in row.shares]


def holds(session: Session) -> bool:
    return all(left == right for _name, left, right in trip_findings(session))


def test_a_trip_is_written_down_as_it_was_said(session: Session) -> None:
    piece = a_piece(session, title="Oak chest")
    row = trip_by_id(session, a_trip(session, piece.id, extra_cents=3_50, note="snow").id)
    assert (row.kind_words, row.purpose_words, row.from_place) == ("Fetching", "fetch a chest", "the shop")
    assert (row.to_place, row.distance.words, row.note) == ("estate sale, upper town", "20 mi", "snow")
    assert (row.rate_hundredths, row.rate_unit, row.at_rate_cents) == (72_50, MILE, 14_50)
    assert (row.extra_cents, row.actual_cents, row.charged_cents) == (3_50, 0, 18_00)
    assert [(share.tag, share.name, share.cents) for share in row.shares] == [(piece.tag, "Oak chest", 18_00)]
    # Half past eight in the morning in the shop's zone.
    assert (row.on_date, row.entered_on) == (date(2026, 11, 20), date(2026, 11, 25))


def test_a_trip_at_actual_cost_knows_no_rate(session: Session) -> None:
    row = trip_by_id(session, an_actual_trip(session).id)
    assert (row.rate_hundredths, row.rate_unit, row.at_rate_cents) == (None, None, 0)
    assert (row.actual_cents, row.charged_cents, row.shares) == (45_00, 45_00, ())


def test_the_same_capture_sent_twice_is_one_trip(session: Session, now: datetime) -> None:
    first = add_trip(session, some_trip(), capture_id="a-phone-1", now=now)
    assert add_trip(session, some_trip(), capture_id="a-phone-1", now=now).id == first.id
    assert session.scalar(select(func.count(Trip.id))) == 1


def test_a_trip_without_its_number_or_for_an_unknown_piece_is_refused(session: Session, now: datetime) -> None:
    with pytest.raises(RuleError, match="lost its number"):
        add_trip(session, some_trip(), capture_id="", now=now)
    with pytest.raises(NotFound):
        a_trip(session, 99)


def test_a_trip_is_shared_equally_to_the_cent_with_its_tolls(session: Session) -> None:
    pieces = [a_piece(session, price_cents=cents).id for cents in (100_00, 1_00, 0)]
    assert charged(session, a_trip(session, *reversed(pieces), extra_cents=51)) == (15_01, [5_01, 5_00, 5_00])


def test_a_trip_is_shared_by_what_was_paid_for_each_piece(session: Session) -> None:
    dear = a_piece(session, price_cents=60_00, premium_cents=10_00, tax_cents=5_00)
    cheap, free = a_piece(session, price_cents=25_00), a_piece(session, price_cents=0)
    trip = a_trip(session, dear.id, cheap.id, free.id, by_value=True)
    assert charged(session, trip) == (14_50, [10_88, 3_62, 0])
    weights = session.scalars(select(TripPiece.weight).order_by(TripPiece.piece_id)).all()
    assert list(weights) == [75_00, 25_00, 0]


def test_free_finds_share_by_value_as_equals(session: Session) -> None:
    pieces = [a_piece(session, price_cents=0).id for _ in range(3)]
    assert charged(session, a_trip(session, *pieces, by_value=True)) == (14_50, [4_84, 4_83, 4_83])


def test_a_piece_named_twice_shares_once(session: Session) -> None:
    piece = a_piece(session)
    assert charged(session, a_trip(session, piece.id, piece.id)) == (14_50, [14_50])


def test_today_is_the_shops_own_day(session: Session, now: datetime) -> None:
    early = now.replace(hour=2)
    a_trip(session, on_date=date(2026, 11, 24), now=early)
    with pytest.raises(RuleError, match="has not come yet"):
        a_trip(session, on_date=date(2026, 11, 25), now=early)


def test_a_trip_before_the_books_begin_is_refused(session: Session) -> None:
    with pytest.raises(RuleError, match="your books begin"):
        a_trip(session, on_date=date(2023, 12, 31))


def test_a_piece_struck_out_takes_no_trip(session: Session, now: datetime) -> None:
    piece = a_piece(session)
    strike_find(session, piece.id, reason="logged twice", version=None, now=now)
    with pytest.raises(RuleError) as refused:
        a_trip(session, piece.id)
    assert refused.value.field == "pieces"
    assert session.scalar(select(func.count(Trip.id))) == 0


def test_a_day_without_a_rate_is_refused_and_actual_cost_is_the_way_out(session: Session) -> None:
    later = datetime(2027, 2, 1, 18, tzinfo=NOW.tzinfo)
    with pytest.raises(RateGap):
        a_trip(session, on_date=date(2027, 1, 31), now=later)
    an_actual_trip(session, on_date=date(2027, 1, 31), now=later)
    a_rate(session, date(2027, 1, 1), date(2027, 12, 31))
    assert charged(session, a_trip(session, on_date=date(2027, 1, 31), now=later)) == (10_00, [])


def test_published_rates_say_nothing_in_another_currency(session: Session) -> None:
    session.get_one(Shop, 1).currency = "EUR"
    session.flush()
    with pytest.raises(RateGap):
        a_trip(session)
    a_rate(session, date(2026, 1, 1), date(2026, 12, 31), 30_00, KM)
    assert charged(session, a_trip(session, distance=Distance(20_00, KM))) == (6_00, [])


def test_no_trip_enters_or_leaves_a_closed_month(session: Session, now: datetime) -> None:
    trip = a_trip(session, on_date=OCTOBER)
    close_october(session)
    with pytest.raises(MonthIsClosed) as refused:
        a_trip(session, on_date=OCTOBER)
    assert refused.value.field == "on_date"
    with pytest.raises(MonthIsClosed):
        strike_trip(session, trip.id, reason="wrong", now=now)
    assert not trip_by_id(session, trip.id).is_struck
    a_trip(session, on_date=date(2026, 11, 1))


def test_a_struck_trip_stays_in_sight_and_cannot_be_struck_again(session: Session, now: datetime) -> None:
    trip = a_trip(session, a_piece(session).id)
    strike_trip(session, trip.id, reason=" entered twice ", now=now)
    with pytest.raises(AlreadyStruck, match="entered twice"):
        strike_trip(session, trip.id, reason="again", now=now)
    row = trip_by_id(session, trip.id)
    assert (row.is_struck, row.struck_reason, row.charged_cents) == (True, "entered twice", 14_50)


def test_striking_out_without_a_reason_or_a_trip_is_refused(session: Session, now: datetime) -> None:
    trip = a_trip(session)
    with pytest.raises(RuleError, match="Say why"):
        strike_trip(session, trip.id, reason=" ", now=now)
    with pytest.raises(NotFound):
        strike_trip(session, 99, reason="wrong", now=now)
    assert not trip_by_id(session, trip.id).is_struck


def test_a_receipt_is_attached_to_the_piece_where_there_is_one_alone(session: Session, tmp_path: Path) -> None:
    piece, other = a_piece(session), a_piece(session)
    stored = keep(tmp_path, BytesIO(photo_bytes()), "receipt.jpg")
    for ids, owner in (((piece.id,), piece.id), ((piece.id, other.id), None)):
        trip = add_trip(session, some_trip(*ids), capture_id=f"capture-{len(ids)}", receipt=stored, now=NOW)
        photo = session.get_one(Photo, trip.receipt_photo_id)
        assert (photo.piece_id, photo.shows) == (owner, Shows.RECEIPT)


def test_an_own_rate_charges_its_open_days_anew_shares_too(session: Session) -> None:
    pieces = [a_piece(session).id for _ in range(3)]
    frozen = a_trip(session, *pieces, on_date=OCTOBER)
    close_october(session)
    inside, actual = a_trip(session, *pieces, extra_cents=1_00), an_actual_trip(session, *pieces)
    also, struck = a_trip(session, on_date=date(2026, 11, 2)), a_trip(session)
    after = a_trip(session, on_date=date(2026, 11, 21))
    strike_trip(session, struck.id, reason="wrong", now=NOW)
    wished = some_rate(date(2026, 10, 1), date(2026, 11, 20))
    plan = plan_of_adding(session, wished)
    assert {change.trip_id for change in plan.changes} == {inside.id, also.id}
    assert (plan.frozen, plan.without, plan.was_cents, plan.cents) == (1, 0, 15_50 + 14_50, 11_00 + 10_00)
    assert add_rate(session, wished, now=NOW) == plan
    assert charged(session, inside) == (11_00, [3_67, 3_67, 3_66])
    assert charged(session, frozen) == (14_50, [4_84, 4_83, 4_83])
    assert charged(session, actual) == (45_00, [15_00, 15_00, 15_00])
    assert charged(session, struck) == charged(session, after) == (14_50, [])
    assert holds(session)


def test_a_rate_keeps_the_weights_a_trip_was_shared_by(session: Session) -> None:
    pieces = [a_piece(session, price_cents=cents).id for cents in (75_00, 25_00)]
    trip = a_trip(session, *pieces, by_value=True)
    a_rate(session)
    assert charged(session, trip) == (10_00, [7_50, 2_50])


def test_striking_an_own_rate_brings_the_published_one_back(session: Session, now: datetime) -> None:
    trip = a_trip(session, a_piece(session).id)
    rate = a_rate(session)
    assert charged(session, trip) == (10_00, [10_00])
    plan = plan_of_striking(session, rate.id)
    assert (len(plan.changes), plan.cents) == (1, 14_50)
    assert strike_rate(session, rate.id, reason="wrong year", now=now) == plan
    assert charged(session, trip) == (14_50, [14_50])
    assert trip_by_id(session, trip.id).rate_hundredths == 72_50
    assert holds(session)


def test_trips_that_no_other_rate_holds_for_keep_theirs_until_one_does(session: Session) -> None:
    later = datetime(2027, 2, 1, 18, tzinfo=NOW.tzinfo)
    wrong = a_rate(session, date(2027, 1, 1), date(2027, 12, 31), 5000_00)
    trip = a_trip(session, on_date=date(2027, 1, 31), now=later)
    plan = strike_rate(session, wrong.id, reason="cents typed as dollars", now=later)
    assert (plan.changes, plan.without) == ((), 1)
    assert charged(session, trip) == (1000_00, [])
    a_rate(session, date(2027, 1, 1), date(2027, 12, 31), 50_00)
    assert charged(session, trip) == (10_00, [])
    assert holds(session)


def test_a_rate_over_the_days_of_another_is_refused_and_changes_nothing(session: Session, now: datetime) -> None:
    trip = a_trip(session)
    a_rate(session)
    with pytest.raises(RuleError, match="already"):
        add_rate(session, some_rate(date(2026, 11, 1), date(2026, 11, 30), 10_00), now=now)
    assert charged(session, trip) == (10_00, [])
    assert session.scalar(select(func.count(MileageRate.id))) == 1


def test_a_rate_struck_out_makes_room_and_cannot_be_struck_again(session: Session, now: datetime) -> None:
    rate = a_rate(session)
    with pytest.raises(RuleError, match="Say why"):
        strike_rate(session, rate.id, reason="", now=now)
    strike_rate(session, rate.id, reason="wrong", now=now)
    with pytest.raises(AlreadyStruck):
        strike_rate(session, rate.id, reason="wrong", now=now)
    with pytest.raises(NotFound):
        strike_rate(session, 99, reason="wrong", now=now)
    a_rate(session)


@pytest.mark.parametrize(
    ("fault", "name"),
    [
        ("UPDATE trip_piece SET cents = cents + 1", "Trips and the shares of their pieces"),
        (
            "UPDATE trip_piece SET cents = CASE piece_id WHEN 1 THEN cents + 1 ELSE cents - 1 END WHERE trip_id = 1",
            "Trips whose shares are not what their weights make them",
        ),
        ("UPDATE trip SET charged_cents = 1", "Trips charged otherwise than their rate or their cost says"),
        ("UPDATE trip SET distance_hundredths = 1", "Trips charged otherwise than their rate or their cost says"),
        ("UPDATE trip SET actual_cents = 7", "Trips that count both at the rate and at their cost"),
        (
            "UPDATE mileage_rate SET rate_hundredths = 1",
            "Trips in open months at another rate than the own one of their day",
        ),
        ("UPDATE mileage_rate SET from_date = '2025-01-01'", "Own mileage rates that hold on the same day"),
        (
            "UPDATE trip SET struck_at = made_at",
            "Trips struck out without a reason, or with one and not struck out",
        ),
        (
            "UPDATE mileage_rate SET struck_reason = 'x'",
            "Own mileage rates struck out without a reason, or with one and not struck out",
        ),
    ],
)
def test_each_fault_behind_the_programs_back_is_found(session: Session, fault: str, name: str) -> None:
    pieces = [a_piece(session).id for _ in range(2)]
    a_rate(session, date(2025, 1, 1), date(2025, 12, 31))
    a_rate(session)
    a_trip(session, *pieces)
    an_actual_trip(session, *pieces)
    assert holds(session)
    session.execute(text(fault))
    session.expire_all()
    assert name in {found for found, left, right in trip_findings(session) if left != right}


def test_the_cars_year_is_said_and_put_right(session: Session, now: datetime) -> None:
    a_trip(session, distance=miles(1250))
    a_trip(session, distance=Distance(1_609_34, KM))
    an_actual_trip(session, distance=miles(300))
    row = a_car_year(session)
    sheet = car_year_sheet(session, 2026)
    assert [one.words if one else None for one in (sheet.total, sheet.business, sheet.commuting, sheet.other)] == [
        "9,000 mi",
        "2,250 mi",
        "1,000 mi",
        "5,750 mi",
    ]
    save_car_year(session, CarFacts(2026, KM, 20_000_00, 0), version=row.version, now=now)
    sheet = car_year_sheet(session, 2026)
    assert (sheet.business.words, sheet.other and sheet.other.words) == ("3,621.02 km", "16,378.98 km")


def test_a_cars_year_on_an_older_version_is_refused(session: Session, now: datetime) -> None:
    row = a_car_year(session)
    for version in (None, row.version + 1):
        with pytest.raises(StaleEdit) as clash:
            save_car_year(session, CarFacts(2026, MILE, 1_00, 0), version=version, now=now)
        assert clash.value.now_values["All it ran"] == "9,000 mi"
        assert clash.value.version == row.version


def test_a_log_that_outgrows_the_cars_year_is_told(session: Session) -> None:
    a_car_year(session, total=1500, commuting=1000)
    assert not car_year_sheet(session, 2026).is_too_much
    a_trip(session, distance=miles(501))
    sheet = car_year_sheet(session, 2026)
    assert (sheet.is_too_much, sheet.other) == (True, None)


def test_a_cars_year_takes_unit_and_service_day_over_from_the_year_before(session: Session) -> None:
    a_car_year(session, 2025)
    session.get_one(Shop, 1).units = Units.METRIC
    session.flush()
    assert car_year_sheet(session, 2024).unit is KM
    sheet = car_year_sheet(session, 2026)
    assert (sheet.unit, sheet.served_since, sheet.facts, sheet.version) == (MILE, date(2021, 5, 3), None, None)


@pytest.mark.parametrize("year", [1899, 2201, 10**15])
def test_there_is_no_year_nobody_keeps_books_in(session: Session, year: int) -> None:
    with pytest.raises(NotFound):
        car_year_sheet(session, year)
