"""Enter the rows of the demo one by one through the actions of the rooms, as an owner would have."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import TypeVar
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.costs.actions import add_cost, strike_cost
from app.costs.rules import NewCost
from app.demo import rules as told
from app.desk.actions import leave_piece, split_set, step_back_piece
from app.desk.rules import SplitBy, WishedPart, WishedSplit
from app.floor.actions import add_channel, change_price, hold_piece, lift_hold, list_piece
from app.pieces.actions import (
    add_source,
    bring_back,
    enter_owned,
    log_find,
    log_haul,
    note_next,
    set_finish,
    step_forward,
)
from app.pieces.models import Piece
from app.pieces.rules import Facts, HaulPart, NewFind, NewHaul, OwnedPiece
from app.recipes.models import Finish, FinishStep
from app.reports.actions.writing_down import write_down
from app.reports.rules.writing_down import NewWriteDown
from app.sales.actions import record_return, record_sale, strike_sale
from app.sales.queries import standing_deposits, tax_place_by_id
from app.sales.rules import NewReturn, NewSale
from app.shelf.models import Material
from app.shop.actions import set_up_shop
from app.shop.models import Shop
from app.shop.rules import ShopFacts
from app.timelog.actions import add_time, strike_time
from app.timelog.rules import NewTime
from app.trips.actions import add_rate, add_trip, save_car_year, strike_trip
from app.trips.rules import CarFacts, Distance, DistanceUnit, MileageRateFacts, NewTrip

T = TypeVar("T")


def capture_id(file: str, line: int) -> str:
    """The number a row is entered under; the same row always has the same."""
    return str(uuid5(NAMESPACE_URL, f"tackcloth/demo/{file}/{line}"))


class DemoShop:
    """The shop while it is filled: finds by the files' own keys what was entered before.

    Every method enters one row at the moment `now` and refuses what the rooms refuse (RuleError).
    """

    def __init__(self, session: Session, photo_dir: Path, today: date, zone: str) -> None:
        self.session = session
        self.photo_dir = photo_dir
        self.today = today
        self.zone = zone
        # A session reads a row anew once nobody holds it; the shop, pieces, materials and
        # finishes are asked for all the time.
        self.shop: Shop | None = None
        self.sources: dict[str, int] = {}
        self.channels: dict[str, int] = {}
        self.tax_places: dict[str, int] = {}
        self.deposits: dict[int, int] = {}
        self.pieces: dict[str, Piece] = {}
        self.sales: dict[str, int] = {}
        self.sale_rows: dict[int, int] = {}
        self.cost_lines: dict[int, int] = {}
        self.time_entries: dict[int, int] = {}
        self.trips: dict[int, int] = {}
        self.materials: dict[str, Material] = {}
        self.uses: dict[int, int] = {}
        self.recipes: dict[str, int] = {}
        self.finishes: dict[str, Finish] = {}
        self.finish_steps: dict[str, list[FinishStep]] = {}

    def date_of(self, day: int) -> date:
        """The date that lies so many days before the day of loading."""
        return self.today - timedelta(days=day)

    def clock(self, day: int, minute: int) -> datetime:
        """The moment so many minutes after the midnight that begins a day, by the shop's own clock."""
        return datetime.combine(self.date_of(day), time(), ZoneInfo(self.zone)) + timedelta(minutes=minute)

    def open(self, row: told.ShopRecord, now: datetime) -> None:
        """Set the shop up, in the zone it is loaded for."""
        facts = ShopFacts(
            name=row.name,
            currency=row.currency,
            time_zone=self.zone,
            units=row.units,
            started_on=self.date_of(row.started_day),
            sits_too_long_days=row.sits_too_long_days,
        )
        set_up_shop(self.session, facts, now=now)
        self.shop = self.session.get_one(Shop, 1)

    def add_source(self, row: told.SourceRecord, now: datetime) -> None:  # noqa: ARG002 - a source has no moment
        """Add a kind of place where pieces are found."""
        self.sources[row.source] = add_source(self.session, row.source, is_free=row.is_free).id

    def add_channel(self, row: told.ChannelRecord, now: datetime) -> None:  # noqa: ARG002 - nor has a channel
        """Add a kind of place where pieces are offered."""
        channel = add_channel(self.session, name=row.channel, percent_hundredths=row.percent, fixed_cents=row.fixed_fee)
        self.channels[row.channel] = channel.id

    def log_haul(self, row: told.HaulRecord, parts: Sequence[told.PieceRecord], now: datetime) -> None:
        """Enter a haul with the pieces that name it."""
        new = NewHaul(
            source_id=known(self.sources, row.source, "source"),
            bought_on=self.date_of(row.day),
            price_cents=row.price,
            premium_cents=row.premium,
            tax_cents=row.sales_tax,
            split=row.split,
            parts=tuple(HaulPart(_facts(part), part.guess, part.by_hand) for part in parts),
            note=row.note,
        )
        haul = log_haul(self.session, new, capture_id=capture_id("hauls", row.line), now=now)
        made = self.session.scalars(select(Piece).where(Piece.haul_id == haul.id).order_by(Piece.id))
        self.pieces.update(zip((part.piece for part in parts), made, strict=True))

    def enter_piece(self, row: told.PieceRecord, now: datetime) -> None:
        """Enter a find, or a piece owned when the shop began."""
        number = capture_id("pieces", row.line)
        source_id = known(self.sources, row.source, "source") if row.source else None
        on_date = self.date_of(row.day)
        if row.opening_stage is not None:
            owned = OwnedPiece(_facts(row), row.opening_stage, on_date, row.opening_cost, source_id)
            piece = enter_owned(self.session, owned, capture_id=number, now=now)
        else:
            find = NewFind(_facts(row), source_id, on_date, row.price, row.premium, row.sales_tax)
            piece = log_find(self.session, find, capture_id=number, now=now)
        self.pieces[row.piece] = piece

    def move(self, row: told.StepRecord, now: datetime) -> None:
        """Step a piece forward, or back where there is a reason."""
        piece_id, on_date = self.piece_id(row.piece), self.date_of(row.day)
        if row.reason:
            step_back_piece(
                self.session, piece_id, row.to_stage, on_date=on_date, reason=row.reason, version=None, now=now
            )
        else:
            step_forward(self.session, piece_id, row.to_stage, on_date=on_date, version=None, now=now)

    def finish(self, row: told.FinishRecord, now: datetime) -> None:
        """Say what finish a piece has."""
        set_finish(
            self.session, self.piece_id(row.piece), colour=row.colour or None, words=row.words, version=None, now=now
        )

    def note_next(self, row: told.NextNoteRecord, now: datetime) -> None:
        """Note what is next on a piece."""
        note_next(self.session, self.piece_id(row.piece), row.words, version=None, now=now)

    def add_cost(self, row: told.CostRecord, now: datetime) -> None:
        """Write a cost down."""
        new = NewCost(
            piece_id=self.piece_id(row.piece) if row.piece else None,
            kind=row.kind,
            amount_cents=row.amount,
            on_date=self.date_of(row.day),
            bought_at=row.bought_at,
            note=row.note,
        )
        line = add_cost(self.session, new, capture_id=capture_id("costs", row.line), now=now)
        self.cost_lines[row.line] = line.id

    def strike_cost(self, row: told.CostRecord, now: datetime) -> None:
        """Strike a cost out again."""
        strike_cost(self.session, self.cost_lines[row.line], reason=row.struck_reason, now=now)

    def add_rate(self, row: told.RateRecord, now: datetime) -> None:
        """Let an own mileage rate hold."""
        new = MileageRateFacts(
            from_date=self.date_of(row.from_day),
            until_date=self.date_of(row.until_day),
            hundredths=row.rate * 100,
            unit=DistanceUnit.MILE,
            source=row.source,
        )
        add_rate(self.session, new, now=now)

    def add_trip(self, row: told.TripRecord, now: datetime) -> None:
        """Write a trip down."""
        new = NewTrip(
            on_date=self.date_of(row.day),
            purpose=row.purpose,
            purpose_words=row.words,
            from_place=row.from_place,
            to_place=row.to_place,
            distance=Distance(row.miles * 100, DistanceUnit.MILE),
            counts_as=row.counts_as,
            piece_ids=tuple(self.piece_id(key) for key in row.pieces),
            by_value=row.by_value,
            extra_cents=row.extra,
            actual_cents=row.actual,
            note=row.note,
        )
        trip = add_trip(self.session, new, capture_id=capture_id("trips", row.line), now=now)
        self.trips[row.line] = trip.id

    def strike_trip(self, row: told.TripRecord, now: datetime) -> None:
        """Strike a trip out again."""
        strike_trip(self.session, self.trips[row.line], reason=row.struck_reason, now=now)

    def say_car_year(self, row: told.CarRecord, now: datetime) -> None:
        """Say what the car ran in the year of a day."""
        facts = CarFacts(
            year=self.date_of(row.day).year,
            unit=DistanceUnit.MILE,
            total_hundredths=row.total * 100,
            commuting_hundredths=row.commuting * 100,
            in_service_on=self.date_of(row.in_service_day),
        )
        save_car_year(self.session, facts, version=None, now=now)

    def add_time(self, row: told.TimeRecord, now: datetime) -> None:
        """Write work down."""
        new = NewTime(
            piece_id=self.piece_id(row.piece) if row.piece else None,
            activity=row.activity,
            on_date=self.date_of(row.day),
            minutes=row.minutes,
            note=row.note,
        )
        entry = add_time(self.session, new, capture_id=capture_id("times", row.line), now=now)
        self.time_entries[row.line] = entry.id

    def strike_time(self, row: told.TimeRecord, now: datetime) -> None:
        """Strike an entry of work out again."""
        strike_time(self.session, self.time_entries[row.line], reason=row.struck_reason, now=now)

    def list_piece(self, row: told.ListingRecord, now: datetime) -> None:
        """Put a piece on the floor."""
        list_piece(
            self.session,
            self.piece_id(row.piece),
            asking_cents=row.asking,
            channel_ids=[known(self.channels, channel, "channel") for channel in row.channels],
            on_date=self.date_of(row.day),
            version=None,
            now=now,
        )

    def change_price(self, row: told.PriceRecord, now: datetime) -> None:
        """Ask another price."""
        change_price(
            self.session,
            self.piece_id(row.piece),
            asking_cents=row.asking,
            on_date=self.date_of(row.day),
            note=row.note,
            now=now,
        )

    def hold(self, row: told.HoldRecord, now: datetime) -> None:
        """Keep a piece back for somebody."""
        until = self.date_of(row.until_day)
        hold_piece(self.session, self.piece_id(row.piece), held_for=row.held_for, until=until, note=row.note, now=now)

    def lift_hold(self, row: told.HoldRecord, now: datetime) -> None:
        """End a hold."""
        lift_hold(self.session, self.piece_id(row.piece), now=now)

    def sell(self, row: told.SaleRecord, now: datetime) -> None:
        """Record a sale."""
        sold_on, piece_id = self.date_of(row.day), self.piece_id(row.piece)
        place = tax_place_by_id(self.session, known(self.tax_places, row.tax_place, "place")) if row.tax_place else None
        is_taxed = bool(row.sales_tax or row.channel_tax)
        new = NewSale(
            piece_id=piece_id,
            sold_on=sold_on,
            channel_id=known(self.channels, row.channel, "channel") if row.channel else None,
            price_cents=row.price,
            delivery_charged_cents=row.delivery_charged,
            delivery_paid_cents=row.delivery_paid,
            fees_cents=row.fees,
            tax_cents=row.sales_tax,
            buyer_name=row.buyer,
            note=row.note,
            tax_place_id=place.id if place else None,
            tax_rate_ppm=place.rate_on(sold_on) if place and is_taxed else None,
            tax_basis=place.basis if place and is_taxed else None,
            channel_tax_cents=row.channel_tax,
            untaxed_reason=row.untaxed_reason,
            deposit_ids=tuple(deposit.id for deposit in standing_deposits(self.session, piece_id)),
        )
        sale = record_sale(self.session, new, capture_id=capture_id("sales", row.line), now=now)
        self.sales[row.piece] = self.sale_rows[row.line] = sale.id

    def strike_sale(self, row: told.SaleRecord, now: datetime) -> None:
        """Strike a mistaken sale out."""
        strike_sale(self.session, self.sale_rows[row.line], reason=row.struck_reason, now=now)

    def take_back(self, row: told.ReturnRecord, now: datetime) -> None:
        """Record that the last sale of a piece came back."""
        new = NewReturn(
            sale_id=known(self.sales, row.piece, "sale of the piece"),
            returned_on=self.date_of(row.day),
            refund_cents=row.refund,
            tax_refunded_cents=row.tax_refunded,
            fees_back_cents=row.fees_back,
            delivery_back_cents=row.delivery_back,
            reason=row.reason,
            to_stage=row.to_stage,
        )
        record_return(self.session, new, now=now)

    def leave(self, row: told.LeavingRecord, now: datetime) -> None:
        """Let a piece leave without a sale."""
        on_date = self.date_of(row.day)
        leave_piece(
            self.session, self.piece_id(row.piece), row.how, on_date=on_date, reason=row.reason, version=None, now=now
        )

    def bring_back(self, row: told.LeavingRecord, now: datetime) -> None:
        """Bring a piece back that had left."""
        on_date = self.date_of(row.back_day or 0)
        bring_back(
            self.session, self.piece_id(row.piece), on_date=on_date, reason=row.back_reason, version=None, now=now
        )

    def write_down(self, row: told.WriteDownRecord, now: datetime) -> None:
        """Write a piece down to what it will bring, or back up."""
        on_date, piece_id = self.date_of(row.day), self.piece_id(row.piece)
        new = NewWriteDown(piece_id, on_date, row.price_expected, row.finish, row.sell, row.reason)
        write_down(self.session, new, capture_id=capture_id("write_downs", row.line), now=now)

    def split(self, parts: Sequence[told.SplitRecord], now: datetime) -> None:
        """Take a set apart; by worth where every part has one, else the same for each thing."""
        first = parts[0]
        by = SplitBy.WORTH if all(part.worth for part in parts) else SplitBy.EACH
        wished = WishedSplit(
            tuple(WishedPart(part.title, part.count, part.worth) for part in parts), by, self.date_of(first.day)
        )
        made = split_set(self.session, self.piece_id(first.piece), wished, now=now)
        self.pieces.update(zip((part.part for part in parts), made, strict=True))

    def piece_id(self, key: str) -> int:
        """The number of a piece by the files' own key; refuses one that is not there yet (RuleError)."""
        return known(self.pieces, key, "piece").id


def known(found: dict[str, T], key: str, what: str) -> T:
    """What was entered under a key; refuses one that is not there yet (RuleError)."""
    if key not in found:
        raise RuleError(f"There is no {what} {key!r} up to that day.")
    return found[key]


def _facts(row: told.PieceRecord) -> Facts:
    return Facts(
        form=row.form,
        title=row.title,
        count=row.count,
        width_mm=row.width_mm,
        depth_mm=row.depth_mm,
        height_mm=row.height_mm,
        condition=row.condition,
        materials=row.materials,
        age=row.age,
        year=row.year,
        notes=row.notes,
    )
