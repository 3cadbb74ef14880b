"""The demo's page tells what is in its files, and what it tells could have happened."""

import re
from pathlib import Path
from typing import get_args, get_type_hints

import pytest
from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from app.costs.models import CostLine
from app.database.resources import shipped_folder
from app.demo.formats import columns_of
from app.demo.rules import FILES, ListingRecord, PriceRecord, Story
from app.floor.models import Hold, Listing
from app.floor.rules import fee_proposed
from app.photos.queries import count_pile
from app.pieces.models import Haul, Piece
from app.pieces.rules import FORM_WORDS, Leaving, Stage
from app.pocket.queries import count_captures
from app.pocket.rules import CaptureState
from app.recipes.models import Finish, FinishStep, PieceSurface, Recipe
from app.recipes.rules import FinishState, StepState
from app.reports.queries import hours_of, profits_of, sitting
from app.sales.models import Deposit, Sale, SaleRefund, SaleReturn
from app.sales.queries import all_deposits, deposits_owed, sales_findings
from app.sales.rules import DepositEnding, TaxBasis, tax_due
from app.timelog.models import TimeEntry
from app.trips.models import Trip
from tests.demo.conftest import LoadedDemo

PAGE = Path(shipped_folder("demo_data")) / "README.md"
BENCH = (Stage.SOURCED, Stage.PREPPED, Stage.FINISHED)
HALF, WHOLE = 50, 100


@pytest.fixture(scope="module")
def page() -> str:
    return PAGE.read_text(encoding="utf-8")


def test_the_page_counts_what_is_loaded(demo: LoadedDemo, page: str) -> None:
    told = {
        what: int(number.replace(",", ""))
        for what, number in re.findall(r"^\| ([^|]+?) \| ([\d,]+) \|$", page, re.MULTILINE)
    }
    with demo.ledger.reading() as session:
        assert told == {
            "pieces": counted(session, Piece.id),
            "hauls": counted(session, Haul.id),
            "sold": counted(session, Piece.id, Piece.stage == Stage.SOLD),
            "on the floor": counted(session, Piece.id, Piece.stage == Stage.LISTED, Piece.left_as.is_(None)),
            "on the floor for more than 60 days": len(sitting(session, demo.today, 60)),
            "on the bench": counted(session, Piece.id, Piece.stage.in_(BENCH), Piece.left_as.is_(None)),
            "left without a sale": counted(session, Piece.id, Piece.left_as.is_not(None)),
            "sales written down": counted(session, Sale.id),
            "sales struck out": counted(session, Sale.id, Sale.struck_at.is_not(None)),
            "sales that came back": counted(session, SaleReturn.id),
            "cost lines": counted(session, CostLine.id),
            "entries of work": counted(session, TimeEntry.id),
            "trips": counted(session, Trip.id),
            "listings": counted(session, Listing.id),
            "deposits": counted(session, Deposit.id),
            "refunds in part": counted(session, SaleRefund.id),
            "recipes": counted(session, Recipe.id),
            "finishes begun": counted(session, Finish.id),
            "finishes done": counted(session, Finish.id, Finish.state == FinishState.DONE),
            "finishes stopped": counted(session, Finish.id, Finish.state == FinishState.STOPPED),
            "steps done": counted(session, FinishStep.id, FinishStep.state == StepState.DONE),
            "pieces looked over": counted(session, PieceSurface.piece_id),
            "captures entered": count_captures(session, CaptureState.HOME),
            "captures that need the owner": count_captures(session, CaptureState.HELD),
            "photos on the pile": count_pile(session),
        }


def test_the_page_names_every_file_and_its_columns(page: str) -> None:
    hints = get_type_hints(Story)
    rows = dict(re.findall(r"^\| (\w+)\.csv \| .+ \| (.+) \|$", page, re.MULTILINE))
    assert {name: tuple(re.findall(r"`(\w+)`", columns)) for name, columns in rows.items()} == {
        name: columns_of(get_args(hints[name])[0]) for name in FILES
    }
    assert {path.stem for path in PAGE.parent.glob("*.csv")} == set(FILES)


def test_every_price_ends_in_a_round_amount(story: Story) -> None:
    assert [row for row in asked(story) if row.asking % WHOLE] == []
    assert [sale for sale in story.sales if sale.price % WHOLE or sale.delivery_charged % HALF] == []
    assert [cost for cost in story.costs if cost.amount % HALF] == []


def test_fees_are_what_the_channels_take(story: Story) -> None:
    channels = {channel.channel: channel for channel in story.channels}
    for sale in story.sales:
        channel = channels[sale.channel]
        assert sale.fees == fee_proposed(sale.price, channel.percent, channel.fixed_fee), sale


def test_sales_tax_is_one_rate_where_it_was_collected(story: Story) -> None:
    taxed = [sale for sale in story.sales if sale.sales_tax or sale.channel_tax]
    assert {bool(sale.sales_tax) for sale in taxed} == {True, False}
    told = [(sale, tax_due(sale.price, sale.delivery_charged, 55_000, TaxBasis.INVOICE)) for sale in taxed]
    assert [sale for sale, due in told if sale.sales_tax + sale.channel_tax != due] == []


def test_a_deposit_was_kept_one_given_back_one_applied_and_one_stands(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        rows = all_deposits(session)
        assert {end.how for row in rows for end in row.ends} == set(DepositEnding)
        (standing,) = [row for row in rows if row.stands]
        assert deposits_owed(session, demo.today) == standing.left_cents
        assert [found for found in sales_findings(session) if found[1] != found[2]] == []


def test_every_sale_came_off_the_floor_at_no_more_than_was_asked(demo: LoadedDemo, story: Story) -> None:
    with demo.ledger.reading() as session:
        assert counted(session, Sale.id, Sale.listing_id.is_(None)) == 0
    for sale in story.sales:
        so_far = [row for row in asked(story) if row.piece == sale.piece and row.day >= sale.day]
        newest = min(reversed(so_far), key=lambda row: row.day)
        assert sale.price <= newest.asking or sale.struck_reason, sale


def test_an_hour_earned_what_one_could_believe(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        hours = hours_of(session)
    assert hours.together.untimed_count == 0
    assert hours.together.per_hour_cents is not None
    assert 900 < hours.together.per_hour_cents < 2400
    rates = [piece.per_hour_cents or 0 for piece in hours.pieces]
    assert min(rates) < 0
    assert all(30 <= piece.minutes <= 17 * 60 for piece in hours.pieces)
    assert sum(rate < 900 for rate in rates) > 5
    assert sum(rate > 2400 for rate in rates) > 5


def test_pieces_left_in_every_way_there_is(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        states = {profit.state for profit in profits_of(session)}
    assert states == {"on hand", "sold", *Leaving}


def test_one_hold_stands_for_days_to_come(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        hold = session.scalars(select(Hold).where(Hold.lifted_at.is_(None))).one()
        assert hold.until > demo.today
        assert hold.held_for == "a neighbour"


def test_titles_try_the_pages(story: Story) -> None:
    titles = [piece.title for piece in story.pieces]
    assert max(map(len, titles)) == 120
    assert any(not title.isascii() and title[0].isalpha() and title.startswith("É") for title in titles)
    assert any(all(ord(mark) > 0x3000 for mark in title) for title in titles)
    assert {piece.form for piece in story.pieces} == set(FORM_WORDS)


def test_nobody_works_more_than_a_day_holds(story: Story) -> None:
    worked: dict[int, int] = {}
    for entry in story.times:
        if entry.struck_day is None:
            worked[entry.day] = worked.get(entry.day, 0) + entry.minutes
    for step in story.finish_steps:
        worked[step.day or 0] = worked.get(step.day or 0, 0) + (step.minutes or 0)
    assert max(worked.values()) <= 10 * 60
    assert {entry.activity.value for entry in story.times} >= {"sourcing", "stripping", "finishing", "delivery"}


def asked(story: Story) -> list[ListingRecord | PriceRecord]:
    return [*story.listings, *story.prices]


def counted(session: Session, column: object, *where: ColumnElement[bool]) -> int:
    return session.scalar(select(func.count(column)).where(*where)) or 0  # type: ignore[arg-type]
