"""Tell the demo's story in the order of its days."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import partial
from itertools import groupby
from pathlib import Path
from typing import Protocol, TypeVar
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.basics.errors import TackclothError
from app.database.resources import shipped_folder
from app.demo.actions.entering import DemoShop
from app.demo.actions.finishing import (
    begin_a_finish,
    change_recipe,
    look_piece_over,
    read_label,
    say_what_it_brings,
    set_hours,
    set_workshop,
    stop_a_finish,
    work_on_step,
    write_down_recipe,
)
from app.demo.actions.keeping import (
    buy_for_the_shelf,
    close_months,
    correct_a_cost,
    count_the_shelf,
    put_on_the_shelf,
    strike_what_was_used,
    use_from_the_shelf,
)
from app.demo.actions.phoning import lay_photo, take_in_capture
from app.demo.actions.picturing import add_photo
from app.demo.actions.selling import (
    end_of_deposit,
    give_back,
    pay_deposit,
    put_into_words,
    say_channel_fee,
    say_tax_rate,
)
from app.demo.formats import read_story
from app.demo.rules import CannotLoad, Story, Turn, where

EVENING = time(18, 0)
"""When the rows of a day begin to be entered: after work, one after the other."""

BETWEEN_ROWS = timedelta(seconds=30)


class Dated(Protocol):
    """A row that says how many days before the day of loading it happened."""

    @property
    def line(self) -> int:
        """The line it stands on."""
        ...

    @property
    def day(self) -> int:
        """Days before the day of loading."""
        ...


D = TypeVar("D", bound=Dated)


@dataclass(frozen=True, slots=True)
class Event:
    """One row to enter, `day` days before the day of loading; `place` names the row in a message."""

    day: int
    turn: Turn
    place: str
    enter: Callable[[datetime], None]


@dataclass(frozen=True, slots=True)
class Evenings:
    """The moments at which rows are entered, none of them after `now`."""

    today: date
    zone: str
    now: datetime

    def moment(self, day: int, place: int) -> datetime:
        """The moment of the `place`-th row of an evening."""
        evening = datetime.combine(self.today - timedelta(days=day), EVENING, ZoneInfo(self.zone))
        return min(evening + place * BETWEEN_ROWS, self.now)


def load_demo(
    session: Session,
    photo_dir: Path,
    *,
    now: datetime,
    zone: str = "America/Denver",
) -> None:
    """Set the demo's shop up in an empty ledger and enter its whole story, each row on an evening of its day.

    All days lie relative to the day it is at `now` in `zone`; photos are drawn into `photo_dir`. Refuses a ledger
    whose shop is set up, a zone nobody knows, and files that cannot be read or that hold what the
    rooms refuse (CannotLoad).
    """
    tell(session, read_story(shipped_folder("demo_data")), photo_dir, now=now, zone=zone)


def tell(session: Session, story: Story, photo_dir: Path, *, now: datetime, zone: str) -> None:
    """Enter a story that was read; see `load_demo`.

    What lies so many hours back, and not a number of days, comes last: it is what the bench is in the middle of.
    """
    evenings = Evenings(_today(now, zone), zone, now)
    shop = DemoShop(session, photo_dir, evenings.today, zone)
    events = sorted(_events(story, shop), key=lambda event: (-event.day, event.turn))
    for _day, of_day in groupby(events, key=lambda event: event.day):
        for place, event in enumerate(of_day, start=1):
            if event.day < 0:
                raise CannotLoad(f"{event.place}: a day still to come cannot be entered.")
            _run(event, evenings.moment(event.day, place))
    for ago, event in sorted(_lately(story, shop), key=lambda lately: -lately[0]):
        _run(event, now - timedelta(minutes=ago))


def _today(now: datetime, zone: str) -> date:
    try:
        return local_day(now, zone)
    except ValueError as unknown:
        raise CannotLoad(str(unknown)) from unknown


def _run(event: Event, now: datetime) -> None:
    try:
        event.enter(now)
    except TackclothError as refusal:
        raise CannotLoad(f"{event.place}: {refusal.message}") from refusal


def _events(story: Story, shop: DemoShop) -> Iterator[Event]:
    """Every row as an event; those of one file come in the order of their lines."""
    yield from _comings(story, shop)
    yield from _work(story, shop)
    yield from _finishing(story, shop)
    yield from _trade(story, shop)
    yield from _books(story, shop)


def _comings(story: Story, shop: DemoShop) -> Iterator[Event]:
    shop_row = story.shop[0]
    first_day = shop_row.started_day
    yield Event(first_day, Turn.SHOP, where("shop", shop_row.line), partial(shop.open, shop_row))
    for source in story.sources:
        yield Event(first_day, Turn.SOURCE, where("sources", source.line), partial(shop.add_source, source))
    for channel in story.channels:
        yield Event(first_day, Turn.CHANNEL, where("channels", channel.line), partial(shop.add_channel, channel))
    for fee in story.channel_fees:
        enter_fee = partial(say_channel_fee, shop, fee)
        yield Event(first_day, Turn.CHANNEL_FEE, where("channel_fees", fee.line), enter_fee)
    for rate in story.tax_rates:
        yield Event(first_day, Turn.TAX_RATE, where("tax_rates", rate.line), partial(say_tax_rate, shop, rate))
    for haul in story.hauls:
        parts = tuple(piece for piece in story.pieces if piece.haul == haul.haul)
        yield Event(haul.day, Turn.HAUL, where("hauls", haul.line), partial(shop.log_haul, haul, parts))
    for piece in story.pieces:
        if not piece.haul:
            # What was owned before the shop began is entered on its first evening.
            day = first_day if piece.opening_stage else piece.day
            yield Event(day, Turn.PIECE, where("pieces", piece.line), partial(shop.enter_piece, piece))
    for _set, rows in groupby(story.splits, key=lambda part: (part.piece, part.day)):
        split = tuple(rows)
        yield Event(split[0].day, Turn.SPLIT, where("splits", split[0].line), partial(shop.split, split))


def _work(story: Story, shop: DemoShop) -> Iterator[Event]:
    yield from _each("costs", Turn.COST, story.costs, shop.add_cost)
    yield from _each("rates", Turn.RATE, story.rates, shop.add_rate)
    yield from _each("trips", Turn.TRIP, story.trips, shop.add_trip)
    yield from _each("cars", Turn.CAR, story.cars, shop.say_car_year)
    yield from _each("times", Turn.TIME, story.times, shop.add_time)
    yield from _each("steps", Turn.STEP, story.steps, shop.move)
    yield from _each("finishes", Turn.FINISH, story.finishes, shop.finish)
    yield from _each("photos", Turn.PHOTO, story.photos, partial(add_photo, shop))
    yield from _each("captures", Turn.CAPTURE, story.captures, partial(take_in_capture, shop))
    yield from _each("pile", Turn.PILED_PHOTO, story.pile, partial(lay_photo, shop))
    yield from _each("next_notes", Turn.NEXT_NOTE, story.next_notes, shop.note_next)
    for cost in story.costs:
        yield from _later("costs", cost.line, Turn.STRUCK_COST, cost.struck_day, partial(shop.strike_cost, cost))
    for trip in story.trips:
        yield from _later("trips", trip.line, Turn.STRUCK_TRIP, trip.struck_day, partial(shop.strike_trip, trip))
    for entry in story.times:
        yield from _later("times", entry.line, Turn.STRUCK_TIME, entry.struck_day, partial(shop.strike_time, entry))


def _finishing(story: Story, shop: DemoShop) -> Iterator[Event]:
    first_day = story.shop[0].started_day
    if story.usual_hours:
        place = where("usual_hours", story.usual_hours[0].line)
        yield Event(first_day, Turn.USUAL_HOURS, place, partial(set_hours, shop, story.usual_hours))
    for has in story.workshop:
        yield Event(first_day, Turn.WORKSHOP, where("workshop", has.line), partial(set_workshop, shop, has))
    yield from _each("expectations", Turn.EXPECTATION, story.expectations, partial(say_what_it_brings, shop))
    yield from _each("labels", Turn.LABEL, story.labels, partial(read_label, shop))
    for recipe in story.recipes:
        steps = [step for step in story.recipe_steps if step.recipe == recipe.recipe and step.changed_day is None]
        write = partial(write_down_recipe, shop, recipe, steps)
        yield Event(recipe.day, Turn.RECIPE, where("recipes", recipe.line), write)
    for step in story.recipe_steps:
        change = partial(change_recipe, shop, step)
        yield from _later("recipe_steps", step.line, Turn.RECIPE_CHANGE, step.changed_day, change)
    yield from _each("surfaces", Turn.SURFACE, story.surfaces, partial(look_piece_over, shop))
    yield from _each("finishes_begun", Turn.BEGUN_FINISH, story.finishes_begun, partial(begin_a_finish, shop))
    for begun in story.finishes_begun:
        stop = partial(stop_a_finish, shop, begun)
        yield from _later("finishes_begun", begun.line, Turn.STOPPED_FINISH, begun.stopped_day, stop)
    for work in story.finish_steps:
        do = partial(work_on_step, shop, work)
        yield from _later("finish_steps", work.line, Turn.FINISH_STEP, work.day, do)


def _lately(story: Story, shop: DemoShop) -> Iterator[tuple[int, Event]]:
    """The rows that say how long ago they happened, each with its minutes."""
    for step in story.finish_steps:
        if step.ago is not None:
            do = partial(work_on_step, shop, step)
            yield step.ago, Event(0, Turn.FINISH_STEP, where("finish_steps", step.line), do)


def _trade(story: Story, shop: DemoShop) -> Iterator[Event]:
    yield from _each("listings", Turn.LISTING, story.listings, shop.list_piece)
    yield from _each("wordings", Turn.WORDING, story.wordings, partial(put_into_words, shop))
    yield from _each("prices", Turn.PRICE, story.prices, shop.change_price)
    yield from _each("holds", Turn.HOLD, story.holds, shop.hold)
    yield from _each("deposits", Turn.DEPOSIT, story.deposits, partial(pay_deposit, shop))
    yield from _each("refunds", Turn.REFUND, story.refunds, partial(give_back, shop))
    for paid in story.deposits:
        ended = partial(end_of_deposit, shop, paid)
        yield from _later("deposits", paid.line, Turn.DEPOSIT_END, paid.end_day, ended)
    yield from _each("returns", Turn.RETURN, story.returns, shop.take_back)
    yield from _each("leavings", Turn.LEAVING, story.leavings, shop.leave)
    yield from _each("write_downs", Turn.WRITE_DOWN, story.write_downs, shop.write_down)
    for hold in story.holds:
        yield from _later("holds", hold.line, Turn.LIFTED_HOLD, hold.lifted_day, partial(shop.lift_hold, hold))
    for out in story.leavings:
        yield from _later("leavings", out.line, Turn.COMING_BACK, out.back_day, partial(shop.bring_back, out))
    for sale in story.sales:
        yield from _each("sales", Turn.SALE, (sale,), shop.sell)
        # A slip noticed on the same day is struck out before the next sale, so that it can be entered again.
        yield from _later("sales", sale.line, Turn.SALE, sale.struck_day, partial(shop.strike_sale, sale))


def _books(story: Story, shop: DemoShop) -> Iterator[Event]:
    yield from _each("materials", Turn.MATERIAL, story.materials, partial(put_on_the_shelf, shop))
    yield from _each("shelf_purchases", Turn.SHELF_PURCHASE, story.shelf_purchases, partial(buy_for_the_shelf, shop))
    yield from _each("shelf_uses", Turn.SHELF_USE, story.shelf_uses, partial(use_from_the_shelf, shop))
    yield from _each("shelf_counts", Turn.SHELF_COUNT, story.shelf_counts, partial(count_the_shelf, shop))
    for used in story.shelf_uses:
        struck = partial(strike_what_was_used, shop, used)
        yield from _later("shelf_uses", used.line, Turn.STRUCK_USE, used.struck_day, struck)
    yield from _each("closings", Turn.CLOSING, story.closings, partial(close_months, shop))
    yield from _each("corrections", Turn.CORRECTION, story.corrections, partial(correct_a_cost, shop))


def _each(file: str, turn: Turn, rows: Iterable[D], enter: Callable[[D, datetime], None]) -> Iterator[Event]:
    for row in rows:
        yield Event(row.day, turn, where(file, row.line), partial(enter, row))


def _later(file: str, line: int, turn: Turn, day: int | None, enter: Callable[[datetime], None]) -> Iterator[Event]:
    if day is not None:
        yield Event(day, turn, where(file, line), enter)
