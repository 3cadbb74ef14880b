"""The demo is entered through the rooms' own actions: whole, in order, and on whatever day it is loaded."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.spells import parse_spells
from app.bench.models import BenchFacts, Expectation
from app.costs.models import CostLine
from app.database.unit_of_work import Ledger
from app.demo.actions import load_demo
from app.demo.actions.loading import tell
from app.demo.rules import CannotLoad, Cents, Day, SaleRecord, Story
from app.floor.models import AskingPrice, Channel, ChannelFee, Hold, Listing, Wording
from app.photos.models import Photo
from app.pieces.models import Haul, LeavingRow, Piece, Purchase, Source, Step, Transfer
from app.pocket.models import Capture, CapturePhoto
from app.pocket.rules import CaptureKind
from app.recipes.models import (
    Finish,
    FinishStep,
    MaterialLabel,
    PieceSurface,
    Recipe,
    RecipeEdition,
    RecipeOverrule,
    StepTime,
)
from app.recipes.rules import StepState
from app.reports.models import WriteDown
from app.reports.queries import profits_of, prove_ledger, stock_now
from app.sales.models import Deposit, Sale, SaleRefund, SaleReturn, TaxRate
from app.shelf.models import ShelfUse
from app.shop.models import UsualHours
from app.shop.queries import shop_facts
from app.timelog.models import TimeEntry
from app.trips.models import CarYear, MileageRate, Trip
from app.trips.queries import trip_findings
from tests.demo.conftest import DAYS_LATER, NO_PHOTOS, LoadedDemo

ZONE = "America/Denver"
LATELY = 2
"""As many days before the day of loading work may lie that is told in hours."""


def test_every_row_of_every_file_is_in_the_ledger(demo: LoadedDemo, story: Story) -> None:
    parts = sum(split.part != split.piece for split in story.splits)
    done = [step for step in story.finish_steps if step.state is StepState.DONE]
    sent = Counter(capture.kind for capture in story.captures if not capture.is_held)
    drawn = sum(bool(capture.colour) for capture in story.captures)
    expected = {
        Source: len(story.sources),
        Channel: len(story.channels),
        Haul: len(story.hauls),
        Piece: len(story.pieces) + parts + sent[CaptureKind.FIND],
        Purchase: len(story.pieces) + sent[CaptureKind.FIND],
        Transfer: parts,
        CostLine: len(story.costs) + sent[CaptureKind.COST],
        MileageRate: len(story.rates),
        Trip: len(story.trips),
        CarYear: len(story.cars),
        TimeEntry: len(story.times) + len(done) + sent[CaptureKind.TIME],
        ShelfUse: len(story.shelf_uses) + sum(step.used is not None for step in done),
        StepTime: len(done),
        MaterialLabel: len(story.labels),
        Recipe: len(story.recipes),
        RecipeEdition: len(story.recipes) + sum(step.changed_day is not None for step in story.recipe_steps),
        RecipeOverrule: sum(bool(recipe.overruled_rule) for recipe in story.recipes),
        PieceSurface: len({surface.piece for surface in story.surfaces}),
        Finish: len(story.finishes_begun),
        BenchFacts: 1,
        Expectation: len(story.expectations),
        Photo: len(story.photos) + drawn + len(story.pile),
        Capture: len(story.captures),
        CapturePhoto: drawn,
        Wording: len(story.wordings),
        Listing: len(story.listings),
        AskingPrice: len(story.listings) + len(story.prices),
        Hold: len(story.holds),
        Sale: len(story.sales),
        SaleReturn: len(story.returns),
        LeavingRow: len(story.leavings),
        WriteDown: len(story.write_downs),
        ChannelFee: len(story.channel_fees),
        TaxRate: len(story.tax_rates),
        Deposit: len(story.deposits),
        SaleRefund: len(story.refunds),
    }
    with demo.ledger.reading() as session:
        found = {table: session.scalar(select(func.count()).select_from(table)) for table in expected}
        told = Counter(session.scalars(select(FinishStep.state).where(FinishStep.state != StepState.WAITING)))
        spells = session.scalar(select(func.count()).select_from(UsualHours))
    assert found == expected
    assert told == Counter(step.state for step in story.finish_steps)
    assert spells == sum(len(parse_spells(day.spells)) for day in story.usual_hours)


def test_what_was_struck_out_stays_in_sight(demo: LoadedDemo, story: Story) -> None:
    with demo.ledger.reading() as session:
        for table, rows in (
            (CostLine, story.costs),
            (TimeEntry, story.times),
            (Trip, story.trips),
            (Sale, story.sales),
        ):
            reasons = session.scalars(select(table.struck_reason).where(table.struck_at.is_not(None)))
            told = [row.struck_reason for row in rows if row.struck_day is not None]
            assert told
            assert Counter(reasons) == Counter(told)


def test_every_identity_of_the_books_holds(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        findings = prove_ledger(session, demo.today)
        trips = trip_findings(session)
    assert len(findings) > 100
    assert [finding for finding in findings if not finding.holds] == []
    assert [finding for finding in trips if finding[1] != finding[2]] == []


def test_every_row_was_made_on_its_own_day_and_none_after_loading(demo: LoadedDemo) -> None:
    dated = [
        select(Haul.made_at, Haul.bought_on),
        select(CostLine.made_at, CostLine.on_date),
        select(TimeEntry.made_at, TimeEntry.on_date),
        select(Trip.made_at, Trip.on_date),
        select(Listing.made_at, Listing.listed_on),
        select(AskingPrice.made_at, AskingPrice.on_date),
        select(Sale.made_at, Sale.sold_on),
        select(SaleReturn.made_at, SaleReturn.returned_on),
        select(SaleRefund.made_at, SaleRefund.on_date),
        select(Deposit.made_at, Deposit.on_date),
    ]
    with demo.ledger.reading() as session:
        for rows in dated:
            for made_at, on_date in session.execute(rows):
                assert made_at <= demo.now
                assert local_day(made_at, ZONE) == on_date


def test_steps_stand_in_the_order_of_their_days(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        days: dict[int, list[date]] = {}
        for piece_id, on_date in session.execute(select(Step.piece_id, Step.on_date).order_by(Step.id)):
            days.setdefault(piece_id, []).append(on_date)
    assert all(of_piece == sorted(of_piece) for of_piece in days.values())
    assert max(day for of_piece in days.values() for day in of_piece) <= demo.today


def test_loaded_later_the_dates_move_and_the_money_stays(demo: LoadedDemo, demo_later: LoadedDemo) -> None:
    assert demo_later.today - demo.today == timedelta(days=DAYS_LATER)
    with demo.ledger.reading() as earlier, demo_later.ledger.reading() as later:
        assert stock_now(later, demo_later.today) == stock_now(earlier, demo.today) > 0
        assert [money(profit) for profit in profits_of(later)] == [money(profit) for profit in profits_of(earlier)]
        for days in (sales_by_day, costs_by_day, steps_by_day, time_by_day, trips_by_day):
            assert days(later, demo_later.today) == days(earlier, demo.today)
        assert all(finding.holds for finding in prove_ledger(later, demo_later.today))


def test_loading_twice_is_refused_and_leaves_the_shop_alone(ledger: Ledger, now: datetime, small_story: Story) -> None:
    with ledger.writing() as session:
        tell(session, small_story, NO_PHOTOS, now=now, zone=ZONE)
    with ledger.writing() as session, pytest.raises(CannotLoad, match=r"^shop\.csv, line 2: This shop is set up"):
        load_demo(session, Path("photos"), now=now)


def test_the_shop_keeps_the_zone_it_is_loaded_for(ledger: Ledger, now: datetime, small_story: Story) -> None:
    with ledger.writing() as session:
        tell(session, small_story, NO_PHOTOS, now=now, zone="Pacific/Auckland")
        shop = shop_facts(session)
        assert shop is not None
        assert shop.time_zone == "Pacific/Auckland"
        sold_on = session.scalars(select(Sale.sold_on)).one()
    # In Auckland the next day has begun already.
    assert sold_on == date(2026, 11, 26) - timedelta(days=small_story.sales[0].day)


def test_an_unknown_zone_is_refused(ledger: Ledger, now: datetime, small_story: Story) -> None:
    with ledger.writing() as session, pytest.raises(CannotLoad, match="No time zone is called"):
        tell(session, small_story, NO_PHOTOS, now=now, zone="Ottermarch")


def test_a_row_of_the_day_itself_is_not_made_after_now(ledger: Ledger, now: datetime, small_story: Story) -> None:
    sale = replace(small_story.sales[0], day=Day(0))
    with ledger.writing() as session:
        tell(session, replace(small_story, sales=(sale,)), NO_PHOTOS, now=now, zone=ZONE)
        assert session.scalars(select(Sale.made_at)).one() == now


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda sale: replace(sale, piece="lost-chair"), "There is no piece 'lost-chair' up to that day"),
        (lambda sale: replace(sale, channel="nowhere"), "There is no channel 'nowhere' up to that day"),
        (lambda sale: replace(sale, price=Cents(0)), "Type what it sold for"),
        (lambda sale: replace(sale, day=Day(-1)), "a day still to come cannot be entered"),
        (lambda sale: replace(sale, day=Day(789)), "There is no piece"),
    ],
)
def test_a_row_the_rooms_refuse_is_named_by_file_and_line(
    ledger: Ledger, now: datetime, small_story: Story, change: Callable[[SaleRecord], SaleRecord], message: str
) -> None:
    sale = small_story.sales[0]
    wrong = replace(small_story, sales=(change(sale),))
    with ledger.writing() as session, pytest.raises(CannotLoad) as refusal:
        tell(session, wrong, NO_PHOTOS, now=now, zone=ZONE)
    assert refusal.value.message.startswith(f"sales.csv, line {sale.line}: {message}")


def test_the_moment_of_loading_may_be_any_of_the_day(ledger: Ledger, small_story: Story) -> None:
    just_after_midnight = datetime(2027, 1, 1, 7, 1, tzinfo=UTC)
    with ledger.writing() as session:
        tell(session, small_story, NO_PHOTOS, now=just_after_midnight, zone=ZONE)
        sold_on = session.scalars(select(Sale.sold_on)).one()
    assert sold_on == date(2027, 1, 1) - timedelta(days=small_story.sales[0].day)


def money(profit: object) -> tuple[object, ...]:
    return tuple(getattr(profit, name) for name in ("title", "state", "money_in", "put_in", "realised", "minutes"))


def sales_by_day(session: Session, today: date) -> list[tuple[object, ...]]:
    rows = session.execute(select(Sale.sold_on, Sale.price_cents, Sale.fees_cents, Sale.tax_cents).order_by(Sale.id))
    return [((today - sold_on).days, *cents) for sold_on, *cents in rows]


def costs_by_day(session: Session, today: date) -> list[tuple[object, ...]]:
    rows = session.execute(select(CostLine.on_date, CostLine.amount_cents).order_by(CostLine.id))
    return [((today - on_date).days, cents) for on_date, cents in rows]


def steps_by_day(session: Session, today: date) -> list[tuple[object, ...]]:
    rows = session.execute(select(Step.on_date, Step.piece_id, Step.kind, Step.to_stage).order_by(Step.id))
    return [((today - on_date).days, *step) for on_date, *step in rows]


def time_by_day(session: Session, today: date) -> list[tuple[object, ...]]:
    """The work by its day; that of the last hours lies so long before the moment of loading, on whichever day it is."""
    rows = session.execute(select(TimeEntry.on_date, TimeEntry.minutes).order_by(TimeEntry.id)).all()
    days = [((today - on_date).days, minutes) for on_date, minutes in rows]
    return [(max(LATELY, day), minutes) for day, minutes in days]


def trips_by_day(session: Session, today: date) -> list[tuple[object, ...]]:
    rows = session.execute(select(Trip.on_date, Trip.charged_cents).order_by(Trip.id))
    return [((today - on_date).days, cents) for on_date, cents in rows]
