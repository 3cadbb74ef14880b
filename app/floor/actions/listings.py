"""List a piece, change what is asked, hold it for somebody, take it off the floor."""

from collections.abc import Collection
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import day_in_words
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.words import LINE_LIMIT, NAME_LIMIT, clean_line
from app.floor.models import AskingPrice, Channel, Hold, Listing, ListingChannel
from app.floor.queries import channel_names, open_listing, shop_today
from app.floor.rules import (
    hold_has_run_out,
    require_asking_price,
    require_listable,
    require_new_price,
    require_sound_hold,
)
from app.pieces.actions import date_listing, move_piece
from app.pieces.actions.ground import bump, keep_correction, the_piece
from app.pieces.rules import ChangedFact, Stage, StepKind


def list_piece(
    session: Session,
    piece_id: int,
    *,
    asking_cents: int,
    channel_ids: Collection[int],
    on_date: date,
    version: int | None,
    now: datetime,
) -> Listing:
    """Put a piece on the floor at a price in cents; it becomes listed.

    `channel_ids` may be empty where nobody knows them, as for what was on the floor before the books began.
    Refuses a piece that is listed, sold or gone (CannotMove), no price, a channel put away, and a day before
    its last step or in the future (RuleError); StaleEdit when `version` is not the piece's any more.
    """
    piece = the_piece(session, piece_id)
    require_listable(piece.stage, piece.left_as)
    if version is not None and version != piece.version:
        raise StaleEdit("piece", {"Stage": piece.stage.value}, piece.version)
    require_asking_price(asking_cents)
    chosen = _offered_channels(session, channel_ids)
    move_piece(session, piece, Stage.LISTED, StepKind.FORWARD, on_date=on_date, reason="", now=now)
    listing = Listing(piece_id=piece.id, listed_on=on_date, ended_on=None, ended_by=None, made_at=now)
    session.add(listing)
    session.flush()
    session.add_all(ListingChannel(listing_id=listing.id, channel_id=channel_id) for channel_id in chosen)
    _ask(session, listing.id, cents=asking_cents, on_date=on_date, note="", now=now)
    return listing


def change_price(
    session: Session, piece_id: int, *, asking_cents: int, on_date: date, note: str, now: datetime
) -> AskingPrice:
    """Ask another price in cents from a day on; the earlier ones stay in its history.

    Refuses a piece that is not on the floor, the price asked already, and a day before the last price or in
    the future (RuleError).
    """
    listing = open_listing(session, piece_id)
    if listing is None:
        raise RuleError("It is not on the floor, so there is no price to change.")
    today = shop_today(session, now)
    require_new_price(asking_cents, listing.asking_cents, on_date, listing.last_price_on, today)
    line = clean_line(note, LINE_LIMIT)
    return _ask(session, listing.id, cents=asking_cents, on_date=on_date, note=line, now=now)


def change_channels(
    session: Session, piece_id: int, *, channel_ids: Collection[int], version: int | None, now: datetime
) -> None:
    """Offer a piece on the floor through other channels; its history keeps what they were.

    One put away may stay while the piece is on it. Refuses a piece that is not on the floor, and a channel that
    is not offered ("channels"); StaleEdit when `version` is not the piece's any more.
    """
    listing = open_listing(session, piece_id)
    if listing is None:
        raise RuleError("It is not on the floor, so it is offered nowhere.")
    piece = the_piece(session, piece_id)
    was = channel_names(listing.channels)
    if version is not None and version != piece.version:
        raise StaleEdit("piece", {"Channels": was}, piece.version)
    present = {row.id for row in listing.channels}
    chosen = set(_offered_channels(session, channel_ids, also=present))
    if chosen == present:
        return
    rows = session.scalars(select(ListingChannel).where(ListingChannel.listing_id == listing.id))
    for row in rows:
        if row.channel_id not in chosen:
            session.delete(row)
    session.add_all(ListingChannel(listing_id=listing.id, channel_id=new_id) for new_id in sorted(chosen - present))
    session.flush()
    renewed = open_listing(session, piece_id)
    became = channel_names(renewed.channels if renewed else ())
    keep_correction(session, piece, ChangedFact("Channels", was, became), now)
    bump(piece, "stage")
    session.flush()


def correct_listed_on(
    session: Session, piece_id: int, listed_on: date, *, version: int | None, now: datetime
) -> Listing:
    """Put right the day a piece went on the floor: its newest spell there, its step and its first price.

    Refuses, at "listed_on", a day in the future, before the step it follows, after the one that follows it or
    after the next price, and a piece that never was on the floor (RuleError); StaleEdit when the piece changed
    since `version`.
    """
    listing = session.scalar(select(Listing).where(Listing.piece_id == piece_id).order_by(Listing.id.desc()).limit(1))
    if listing is None:
        raise RuleError("It was never on the floor, so there is no day to put right.", "listed_on")
    asked = select(AskingPrice).where(AskingPrice.listing_id == listing.id).order_by(AskingPrice.id)
    first, *later = session.scalars(asked).all()
    if later and listed_on > later[0].on_date:
        raise RuleError(f"Its price changed on {day_in_words(later[0].on_date)}, on the floor.", "listed_on")
    date_listing(session, piece_id, listed_on, version=version, now=now)
    listing.listed_on = first.on_date = listed_on
    session.flush()
    return listing


def hold_piece(session: Session, piece_id: int, *, held_for: str, until: date, note: str, now: datetime) -> Hold:
    """Keep a piece on the floor back for somebody until a day, which counts in full.

    A hold that ran out gives way to the new one. Refuses a piece that is not on the floor, one held already,
    nobody's name and a day gone by (RuleError).
    """
    if open_listing(session, piece_id) is None:
        raise RuleError("Only a piece on the floor can be held. List it first.")
    who = clean_line(held_for, NAME_LIMIT)
    today = shop_today(session, now)
    require_sound_hold(who, until, today)
    standing = _standing_hold(session, piece_id)
    if standing is not None and not hold_has_run_out(standing.until, today):
        raise RuleError(f"It is held for {standing.held_for} already. Lift that hold first.", "held_for")
    lift_hold(session, piece_id, now=now)
    hold = Hold(
        piece_id=piece_id,
        held_for=who,
        until=until,
        note=clean_line(note, LINE_LIMIT),
        made_at=now,
        lifted_at=None,
    )
    session.add(hold)
    session.flush()
    return hold


def lift_hold(session: Session, piece_id: int, *, now: datetime) -> Hold | None:
    """End the hold that stands on a piece and return it; nothing happens when none stands."""
    hold = _standing_hold(session, piece_id)
    if hold is not None:
        hold.lifted_at = now
        session.flush()
    return hold


def end_listing(session: Session, piece_id: int, *, on_date: date, ended_by: str, now: datetime) -> Listing | None:
    """End the spell on the floor a piece is in, and its hold; return it, or None when it is not listed.

    The piece's stage is the caller's to move. `ended_by` is a word of `rules.Ending`.
    """
    lift_hold(session, piece_id, now=now)
    listing = session.scalar(select(Listing).where(Listing.piece_id == piece_id, Listing.ended_on.is_(None)))
    if listing is not None:
        listing.ended_on = on_date
        listing.ended_by = ended_by
        session.flush()
    return listing


def reopen_listing(session: Session, listing_id: int) -> Listing:
    """Take back the end of a spell on the floor, as when the sale that ended it was a mistake.

    Its hold stays lifted. Refuses when the piece has been listed anew (RuleError); raises NotFound.
    """
    listing = session.get(Listing, listing_id)
    if listing is None:
        raise NotFound("listing")
    present = open_listing(session, listing.piece_id)
    if present is not None and present.id != listing_id:
        raise RuleError("The piece has been listed anew since.")
    listing.ended_on = None
    listing.ended_by = None
    session.flush()
    return listing


def _offered_channels(session: Session, channel_ids: Collection[int], also: Collection[int] = ()) -> list[int]:
    wanted = sorted(set(channel_ids))
    offered = {*session.scalars(select(Channel.id).where(Channel.is_put_away.is_(False))), *also}
    if not offered.issuperset(wanted):
        raise RuleError("Choose from the channels in use.", "channels")
    return wanted


def _ask(session: Session, listing_id: int, *, cents: int, on_date: date, note: str, now: datetime) -> AskingPrice:
    price = AskingPrice(listing_id=listing_id, on_date=on_date, cents=cents, note=note, made_at=now)
    session.add(price)
    session.flush()
    return price


def _standing_hold(session: Session, piece_id: int) -> Hold | None:
    return session.scalar(select(Hold).where(Hold.piece_id == piece_id, Hold.lifted_at.is_(None)))
