"""What a channel takes from which day on: the newest that has begun counts, and sales keep what they had."""

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.basics.striking import AlreadyStruck
from app.database.unit_of_work import Ledger
from app.floor.actions import add_channel, add_fee, strike_fee
from app.floor.queries import channel_by_id, fees_of
from app.floor.rules import Takes, takes_on
from tests.builders.floor import a_channel, a_fee, a_listed_piece
from tests.builders.sales import a_sale
from tests.examining_client import ExaminingClient

AT_FIRST = Takes(None, 10_00, 0)
JUNE = Takes(date(2026, 6, 1), 12_00, 30)
SPRING_AFTER = Takes(date(2027, 3, 1), 15_00, 0)


@pytest.mark.parametrize(
    ("day", "takes"),
    [
        (date(2026, 5, 31), AT_FIRST),
        (date(2026, 6, 1), JUNE),
        (date(2027, 2, 28), JUNE),
        (date(2027, 3, 1), SPRING_AFTER),
    ],
)
def test_the_newest_fee_that_has_begun_is_in_force(day: date, takes: Takes) -> None:
    assert takes_on(day, AT_FIRST, [SPRING_AFTER, JUNE]) == takes


def test_without_dated_fees_what_was_taken_at_first_is_in_force() -> None:
    assert takes_on(date(1999, 1, 1), AT_FIRST, []) == AT_FIRST


@given(st.lists(st.dates(date(2020, 1, 1), date(2030, 1, 1)), unique=True), st.dates(date(2020, 1, 1)))
def test_no_fee_is_in_force_before_its_day(days: list[date], day: date) -> None:
    found = takes_on(day, AT_FIRST, [Takes(each, 1, 0) for each in days])
    assert found.from_date == max((each for each in days if each <= day), default=None)


def test_a_channel_takes_what_holds_on_the_day(session: Session) -> None:
    channel = a_channel(session, percent_hundredths=10_00)
    a_fee(session, channel, from_date=date(2026, 11, 10), percent_hundredths=20_00, fixed_cents=1_00)
    row = channel_by_id(session, channel.id)
    assert row.on(date(2026, 11, 9)).fee_on(100_00) == 10_00
    assert row.on(date(2026, 11, 10)).fee_on(100_00) == 21_00
    assert row.on(date(2026, 11, 10)).since == date(2026, 11, 10)
    assert row.on(date(2026, 11, 9)).since is None


def test_a_dated_fee_says_what_a_channel_nobody_set_up_takes(session: Session) -> None:
    channel = add_channel(session, name="stall")
    a_fee(session, channel, from_date=date(2026, 11, 1), percent_hundredths=0)
    row = channel_by_id(session, channel.id)
    assert row.on(date(2026, 10, 31)).is_unset
    assert not row.on(date(2026, 11, 1)).is_unset


def test_two_fees_from_one_day_are_refused_until_the_first_is_struck_out(session: Session, now: datetime) -> None:
    channel = a_channel(session)
    first = a_fee(session, channel)
    with pytest.raises(RuleError, match="is there already") as refusal:
        a_fee(session, channel, percent_hundredths=1_00)
    assert refusal.value.field == "from_date"
    strike_fee(session, first.id, reason="wrong list", now=now)
    a_fee(session, channel, percent_hundredths=1_00)
    with pytest.raises(AlreadyStruck, match="wrong list"):
        strike_fee(session, first.id, reason="again", now=now)
    assert [row.is_struck for row in fees_of(session, channel.id)] == [False, True]


@pytest.mark.parametrize(("percent", "fixed", "field"), [(100_00, 0, "percent"), (-1, 0, "percent"), (0, -1, "fixed")])
def test_a_fee_that_cannot_be_is_refused(session: Session, now: datetime, percent: int, fixed: int, field: str) -> None:
    channel = a_channel(session)
    said = {"from_date": date(2026, 11, 1), "note": "", "now": now}
    with pytest.raises(RuleError) as refusal:
        add_fee(session, channel.id, percent_hundredths=percent, fixed_cents=fixed, **said)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert fees_of(session, channel.id) == []


def test_fees_nobody_made_are_not_found(session: Session, client: ExaminingClient, now: datetime) -> None:
    with pytest.raises(NotFound):
        strike_fee(session, 99, reason="wrong", now=now)
    for path in ("/settings/channels/99/fee", "/settings/channels/fees/99/strike"):
        client.get(path, status=404)


def test_the_fee_of_the_sales_own_day_is_proposed_and_said_with_its_day(
    client: ExaminingClient, ledger: Ledger
) -> None:
    with ledger.writing() as session:
        channel = a_channel(session, "Market stall", percent_hundredths=10_00)
        a_fee(session, channel, from_date=date(2026, 11, 20), percent_hundredths=20_00)
        piece = a_listed_piece(session, channel_ids=[channel.id])
    path = f"/pieces/{piece.tag}/sell/check"
    told = {"price": "100", "channel": str(channel.id), "sold_on": "2026-11-19"}
    before = client.get(path, query_string=told).text
    assert "proposed from what Market stall takes" in before
    assert "$10.00" in before
    after = client.get(path, query_string={**told, "sold_on": "2026-11-20"}).text
    assert "takes since 20 Nov 2026" in after
    assert "$20.00" in after


def test_a_fee_is_added_shown_and_struck_out_and_sales_keep_theirs(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        channel = a_channel(session, "Market stall", percent_hundredths=10_00)
        piece = a_listed_piece(session, channel_ids=[channel.id])
        sale = a_sale(session, piece, channel_id=channel.id, fees_cents=24_00)
    page = f"/settings/channels/{channel.id}"
    said = {"from_date": "2026-11-10", "percent": "12.5", "fixed": "1", "note": "new list"}
    answer = client.post_form(f"{page}/fee", said)
    assert (answer.status_code, answer.location) == (303, page)
    shown = client.get(page).text
    for words in ("12.5% and $1.00", "10 Nov 2026", "new list", "Before 10 Nov 2026."):
        assert words in shown
    assert "12.5% and $1.00" in client.get("/settings/channels").text
    assert client.get("/settings/channels.csv").text.splitlines()[1:] == [
        "Market stall,10,0.00,no,,,",
        "Market stall,12.5,1.00,no,2026-11-10,new list,",
    ]
    assert client.post_form(f"{page}/fee", said).status_code == 422

    with ledger.reading() as session:
        (fee,) = fees_of(session, channel.id)
    path = f"/settings/channels/fees/{fee.id}/strike"
    assert client.post_form(path, {"reason": ""}).status_code == 422
    assert client.post_form(path, {"reason": "next year"}).status_code == 303
    assert "Struck out: next year" in client.get(page).text
    assert "This fee was struck out" in client.get(path).text
    assert "$24.00" in client.get(f"/sales/{sale.id}").text


def test_the_page_of_channels_asks_no_more_queries_for_more_fees(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        channel = a_channel(session)
        a_fee(session, channel, from_date=date(2026, 1, 1))
    counts = []
    for more in range(2):
        client.get("/settings/channels.csv")
        counts.append(client.queries)
        client.get("/settings/channels")
        counts.append(client.queries)
        with ledger.writing() as session:
            for month in range(2, 9):
                other = a_channel(session, f"Place {more} {month}")
                a_fee(session, other, from_date=date(2026, month, 1))
    assert counts[:2] == counts[2:]
