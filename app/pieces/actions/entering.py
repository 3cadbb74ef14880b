"""Enter pieces: a find, a haul, and what was owned when the books began."""

from collections.abc import Sequence
from datetime import date, datetime
from uuid import NAMESPACE_URL, uuid5

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import day_in_words, local_day, require_not_future
from app.basics.errors import RuleError
from app.basics.money import currency_places
from app.basics.words import NOTE_LIMIT, clean_text
from app.pieces.actions.ground import (
    add_step,
    piece_by_capture,
    shop_day,
    start_piece,
    the_shop,
    the_source,
)
from app.pieces.actions.purchases import add_purchase
from app.pieces.models import Haul, Piece
from app.pieces.rules import (
    Facts,
    HaulCorrection,
    HaulPart,
    NewFind,
    NewHaul,
    OwnedPiece,
    PurchaseKind,
    Share,
    SplitMethod,
    Stage,
    StepKind,
    kind_of_purchase,
    require_amounts,
    require_capture_id,
    require_in_books,
    require_owned,
    require_parts,
    share_haul,
    sound_facts,
)
from app.shop.queries import require_open
from app.shop.rules import MonthIsClosed


def log_find(session: Session, find: NewFind, *, capture_id: str, now: datetime) -> Piece:
    """Enter one piece as found, with its purchase.

    A `capture_id` seen before gives the piece it made. Refuses unsound facts, a day in the future, before the
    books began or in a closed month ("bought_on"), amounts below zero, and money for a piece from a free place
    ("paid").
    """
    require_capture_id(capture_id)
    before = piece_by_capture(session, capture_id)
    if before is not None:
        return before
    today = shop_day(session, now)
    facts = sound_facts(find.facts, today.year)
    require_bought_in_time(session, find.bought_on, today)
    require_amounts(find.price_cents, find.premium_cents, find.tax_cents)
    source = the_source(session, find.source_id)
    kind = kind_of_purchase(
        find.price_cents + find.premium_cents + find.tax_cents,
        is_free_source=source is not None and source.is_free,
    )
    piece = start_piece(
        session,
        facts,
        capture_id=capture_id,
        stage=Stage.SOURCED,
        sourced_on=find.bought_on,
        start_on=find.bought_on,
        source_id=find.source_id,
        now=now,
    )
    share = Share(find.price_cents, find.premium_cents, find.tax_cents)
    add_purchase(session, piece, share, kind=kind, on_date=find.bought_on, now=now)
    return piece


def log_haul(session: Session, haul: NewHaul, *, capture_id: str, now: datetime) -> Haul:
    """Enter several pieces bought for one price, each with its share to the cent.

    A `capture_id` seen before gives the haul it made. Refuses what `log_find` refuses, fewer than two pieces,
    and shares that `share_haul` refuses.
    """
    require_capture_id(capture_id)
    before = session.scalar(select(Haul).where(Haul.capture_id == capture_id))
    if before is not None:
        return before
    require_parts(len(haul.parts))
    today = shop_day(session, now)
    require_bought_in_time(session, haul.bought_on, today)
    all_facts = [_part_facts(part, place, today.year) for place, part in enumerate(haul.parts, start=1)]
    kind, shares = shares_of(session, haul, [_amount(haul.split, part) for part in haul.parts])
    row = _haul_row(haul, capture_id, now)
    session.add(row)
    session.flush()
    for place, (part, facts, share) in enumerate(zip(haul.parts, all_facts, shares, strict=True)):
        piece = start_piece(
            session,
            facts,
            capture_id=str(uuid5(NAMESPACE_URL, f"{capture_id}/{place}")),
            stage=Stage.SOURCED,
            sourced_on=haul.bought_on,
            start_on=haul.bought_on,
            source_id=haul.source_id,
            haul_id=row.id,
            now=now,
        )
        guess = part.guess_cents if haul.split is SplitMethod.GUESS else None
        add_purchase(
            session, piece, share, kind=kind, on_date=haul.bought_on, now=now, haul_id=row.id, guess_cents=guess
        )
    return row


def require_bought_in_time(session: Session, bought_on: date, today: date) -> None:
    """Refuse, at "bought_on", a day to come, one before the books began, and one in a closed month.

    A piece from before the books began was owned already.
    """
    require_not_future(bought_on, today, "bought_on")
    require_in_books(bought_on, the_shop(session).started_on, "bought_on")
    require_open(session, bought_on, "bought_on")


def shares_of(
    session: Session, haul: NewHaul | HaulCorrection, amounts: Sequence[int | None]
) -> tuple[PurchaseKind, list[Share]]:
    """How the pieces of a haul came and what each of them cost; refuses what the rules on buying refuse."""
    require_amounts(haul.price_cents, haul.premium_cents, haul.tax_cents)
    source = the_source(session, haul.source_id)
    kind = kind_of_purchase(
        haul.price_cents + haul.premium_cents + haul.tax_cents,
        is_free_source=source is not None and source.is_free,
    )
    places = currency_places(the_shop(session).currency)
    return kind, share_haul(haul.price_cents, haul.premium_cents, haul.tax_cents, haul.split, amounts, places=places)


def haul_note(note: str) -> str:
    """The note on a haul as it is kept; refuses one too long at "note"."""
    try:
        return clean_text(note, NOTE_LIMIT)
    except RuleError as refusal:
        raise RuleError(refusal.message, "note") from refusal


def _amount(split: SplitMethod, part: HaulPart) -> int | None:
    return part.by_hand_cents if split is SplitMethod.BY_HAND else part.guess_cents


def _part_facts(part: HaulPart, place: int, this_year: int) -> Facts:
    try:
        return sound_facts(part.facts, this_year)
    except RuleError as refusal:
        raise RuleError(f"Piece {place}: {refusal.message}", "parts") from refusal


def _haul_row(haul: NewHaul, capture_id: str, now: datetime) -> Haul:
    return Haul(
        capture_id=capture_id,
        bought_on=haul.bought_on,
        source_id=haul.source_id,
        price_cents=haul.price_cents,
        premium_cents=haul.premium_cents,
        tax_cents=haul.tax_cents,
        split=haul.split,
        note=haul_note(haul.note),
        made_at=now,
    )


def enter_owned(session: Session, owned: OwnedPiece, *, capture_id: str, now: datetime) -> Piece:
    """Enter a piece owned when the books began: its cost so far is opening stock of the shop's first day.

    A `capture_id` seen before gives the piece it made. Refuses unsound facts, what `require_owned` refuses, and
    anything at all once the month in which the books began is closed.
    """
    require_capture_id(capture_id)
    before = piece_by_capture(session, capture_id)
    if before is not None:
        return before
    shop = the_shop(session)
    today = local_day(now, shop.time_zone)
    facts = sound_facts(owned.facts, today.year)
    require_owned(owned, shop.started_on, today)
    _require_start_open(session, shop.started_on)
    the_source(session, owned.source_id)
    piece = start_piece(
        session,
        facts,
        capture_id=capture_id,
        stage=Stage.SOURCED,
        sourced_on=owned.sourced_on,
        start_on=owned.sourced_on,
        source_id=owned.source_id,
        now=now,
    )
    if owned.stage is not Stage.SOURCED:
        since = owned.since or owned.sourced_on
        add_step(session, piece, StepKind.FORWARD, Stage.SOURCED, owned.stage, on_date=since, reason="", now=now)
        piece.stage, piece.stage_since = owned.stage, since
    share = Share(owned.cost_cents, 0, 0)
    add_purchase(session, piece, share, kind=PurchaseKind.OPENING, on_date=shop.started_on, now=now)
    return piece


def _require_start_open(session: Session, started_on: date) -> None:
    try:
        require_open(session, started_on)
    except MonthIsClosed as refusal:
        raise MonthIsClosed(
            f"Your books began on {day_in_words(started_on)}, and that month is closed, so nothing can be added to"
            " what you owned then. Log it as a find at the price of nothing."
        ) from refusal
