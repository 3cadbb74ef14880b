"""Reading trips back: the log, totals, months, choices, and how many questions that takes."""

from datetime import date

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound, RuleError
from app.trips.actions import strike_trip
from app.trips.queries import (
    mileage_log,
    own_rate,
    own_rates,
    pieces_meant,
    pieces_to_choose,
    places,
    purposes,
    trip_by_id,
    trip_findings,
    trip_months,
    trips_between,
    trips_of,
    year_totals,
)
from app.trips.rules import Distance
from tests.builders.pieces import NOW, a_piece
from tests.builders.sales import a_sold_piece
from tests.builders.trips import KM, a_rate, a_trip, an_actual_trip, miles


def test_trips_are_read_between_days_the_newest_first(session: Session) -> None:
    late, early = a_trip(session), a_trip(session, on_date=date(2026, 11, 1))
    before = a_trip(session, on_date=date(2026, 10, 31))
    assert [row.id for row in trips_between(session, date(2026, 11, 1), date(2026, 11, 30))] == [late.id, early.id]
    assert trip_months(session) == (Month(2026, 10), Month(2026, 11))
    assert before.id not in {row.id for row in trips_between(session, date(2026, 11, 1), date(2026, 11, 30))}


def test_a_shop_without_trips_has_no_months_and_nothing_to_add(session: Session) -> None:
    assert trip_months(session) is None
    totals = year_totals(session, 2026)
    assert (totals.trips, totals.charged_cents, totals.miles.words) == (0, 0, "0 mi")
    with pytest.raises(NotFound):
        trip_by_id(session, 1)
    with pytest.raises(NotFound):
        own_rate(session, 1)


def test_the_mileage_log_of_a_year_holds_what_counts_the_oldest_first(session: Session) -> None:
    second, first = a_trip(session), a_trip(session, on_date=date(2026, 1, 1))
    struck, other_year = a_trip(session), a_trip(session, on_date=date(2025, 12, 31))
    strike_trip(session, struck.id, reason="wrong", now=NOW)
    assert [row.id for row in mileage_log(session, 2026)] == [first.id, second.id]
    assert [row.id for row in mileage_log(session, 2025)] == [other_year.id]
    assert mileage_log(session, 2025)[0].rate_hundredths == 70_00


def test_the_totals_of_a_year_tell_the_distance_both_ways(session: Session) -> None:
    a_trip(session, distance=miles(100), extra_cents=2_00)
    a_trip(session, distance=Distance(160_93, KM))
    an_actual_trip(session, distance=miles(50))
    struck = a_trip(session)
    strike_trip(session, struck.id, reason="wrong", now=NOW)
    totals = year_totals(session, 2026)
    assert (totals.trips, totals.miles.words, totals.km.words) == (3, "250 mi", "402.33 km")
    assert totals.rate_distance(KM).words == "321.86 km"
    assert (totals.at_rate_cents, totals.extra_cents, totals.actual_cents) == (145_00, 2_00, 45_00)
    assert totals.charged_cents == 192_00


def test_the_trips_of_a_piece_carry_every_share(session: Session) -> None:
    piece, other, third = (a_piece(session) for _ in range(3))
    shared, _elsewhere = a_trip(session, piece.id, other.id), a_trip(session, third.id)
    (row,) = trips_of(session, piece.id)
    assert (row.id, row.share_of(piece.id), row.share_of(third.id)) == (shared.id, 7_25, 0)
    assert [share.piece_id for share in row.shares] == [piece.id, other.id]


def test_pieces_on_hand_are_offered_first_and_sold_ones_after(session: Session) -> None:
    sold, _sale = a_sold_piece(session)
    newest, older = a_piece(session, bought_on=date(2026, 11, 2)), a_piece(session, bought_on=date(2026, 10, 1))
    assert [row.id for row in pieces_to_choose(session)] == [newest.id, older.id, sold.id]
    assert [row.id for row in pieces_to_choose(session, [older.tag.lower()])] == [older.id, newest.id, sold.id]


def test_pieces_are_meant_by_tag_or_by_words(session: Session) -> None:
    oak, pine = a_piece(session, title="Oak chest"), a_piece(session, title="Pine trunk")
    sold, _sale = a_sold_piece(session, title="Oak mirror")
    assert pieces_meant(session, [], f"{oak.tag.lower()} {pine.tag}") == (oak.id, pine.id)
    assert pieces_meant(session, [pine.tag], "oak chest, trunk") == (pine.id, oak.id)
    assert pieces_meant(session, [], "mirror") == (sold.id,)
    assert pieces_meant(session, [], " , ;") == ()
    # Of two that answer to the word, the one on hand is meant.
    assert pieces_meant(session, [], "oak") == (oak.id,)


def test_words_that_mean_no_piece_or_several_are_refused_with_the_tags(session: Session) -> None:
    first, second = a_piece(session, title="Oak chest"), a_piece(session, title="Oak trunk")
    with pytest.raises(RuleError) as several:
        pieces_meant(session, [], "oak")
    assert several.value.field == "typed"
    assert {first.tag, second.tag} <= set(several.value.message.replace(",", "").replace(".", "").split())
    with pytest.raises(RuleError, match="No piece answers to walnut"):
        pieces_meant(session, [], "walnut")
    with pytest.raises(RuleError) as unknown:
        pieces_meant(session, ["ZZZZ"], "")
    assert unknown.value.field == "pieces"
    with pytest.raises(RuleError, match="at most 60 pieces"):
        pieces_meant(session, [], ",".join(["oak"] * 61))


def test_places_and_purposes_come_back_once_the_most_recent_first(session: Session) -> None:
    a_trip(session, to_place="auction barn", purpose_words="look at lots")
    a_trip(session, to_place="paint counter", purpose_words="buy wax")
    a_trip(session, to_place="auction barn", purpose_words="look at lots")
    assert places(session)[:3] == ["the shop", "auction barn", "paint counter"]
    assert purposes(session) == ["look at lots", "buy wax"]


def test_own_rates_are_listed_the_newest_days_first(session: Session) -> None:
    old, new = a_rate(session, date(2025, 1, 1), date(2025, 12, 31)), a_rate(session)
    assert [row.id for row in own_rates(session)] == [new.id, old.id]
    assert (own_rate(session, old.id).rate_plain(2), own_rate(session, old.id).unit_words) == ("0.50", "mile")


def test_more_trips_take_no_more_queries(session: Session) -> None:
    pieces = [a_piece(session).id for _ in range(3)]
    asked: list[str] = []
    event.listen(session.connection(), "before_cursor_execute", lambda *said: asked.append(said[2]))
    counts = []
    for _ in range(2):
        for _ in range(10):
            a_trip(session, *pieces)
        session.expire_all()
        asked.clear()
        trips_of(session, pieces[0])
        mileage_log(session, 2026)
        trip_findings(session)
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 15
