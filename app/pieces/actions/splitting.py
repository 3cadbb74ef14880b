"""Take a set apart: new pieces beside the first, cost and hours moved by dated transfers."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from uuid import uuid4

from sqlalchemy.orm import Session

from app.basics.dates import require_not_future
from app.basics.words import TITLE_LIMIT
from app.pieces.actions.ground import (
    fact_values,
    keep_correction,
    piece_to_change,
    shop_day,
    start_piece,
    the_shop,
    write_facts,
)
from app.pieces.models import Piece, Transfer
from app.pieces.queries import require_day_that_fits, steps_of
from app.pieces.rules import (
    Facts,
    PartShare,
    SplitPart,
    changed_facts,
    facts_of,
    last_standing,
    line_of,
    require_day_in_order,
    require_split,
    share_split,
)
from app.shop.queries import require_open


def split_off(
    session: Session,
    piece_id: int,
    parts: Sequence[SplitPart],
    *,
    cents: int,
    minutes: int,
    on_date: date,
    version: int | None,
    now: datetime,
) -> list[Piece]:
    """Split a set into its parts: the first stays on the piece, each other becomes a piece of its own.

    `cents` and `minutes` are the cost and the hours so far; each new piece gets its share by a transfer dated
    `on_date`, exact to the cent and the minute, and stands at the same stage. Returns all of them, the piece
    itself first. Refuses a piece that is sold, has left or is listed, parts that do not make up the set, and a
    day in the future, in a closed month or before its last step.
    """
    piece = piece_to_change(session, piece_id, version, fact_values(session))
    require_split(parts, piece.count, piece.stage, piece.left_as)
    require_not_future(on_date, shop_day(session, now), "on_date")
    require_open(session, on_date, "on_date")
    require_day_in_order(on_date, last_standing(steps_of(session, piece.id)).on_date)
    require_day_that_fits(session, piece.id, on_date)
    shares = share_split(parts, cents, minutes)
    whole = facts_of(piece)
    facts = [_facts_of_part(whole, part) for part in parts]
    made = [
        _part_piece(session, piece, part_facts, share, on_date=on_date, now=now)
        for part_facts, share in zip(facts[1:], shares[1:], strict=True)
    ]
    units = the_shop(session).units
    # The split itself tells that there are fewer now; it was not put right.
    for change in changed_facts(replace(whole, count=facts[0].count), facts[0], units):
        keep_correction(session, piece, change, now)
    write_facts(piece, facts[0])
    session.flush()
    return [piece, *made]


def _facts_of_part(whole: Facts, part: SplitPart) -> Facts:
    title = line_of(part.title, TITLE_LIMIT, "parts")
    return replace(whole, title=title or whole.title, count=part.count)


def _part_piece(
    session: Session, piece: Piece, facts: Facts, share: PartShare, *, on_date: date, now: datetime
) -> Piece:
    part = start_piece(
        session,
        facts,
        capture_id=str(uuid4()),
        stage=piece.stage,
        sourced_on=piece.sourced_on,
        start_on=on_date,
        source_id=piece.source_id,
        split_from_id=piece.id,
        now=now,
    )
    session.add(
        Transfer(
            from_piece_id=piece.id,
            to_piece_id=part.id,
            on_date=on_date,
            cents=share.cents,
            minutes=share.minutes,
            reason=f"split off {piece.tag}",
            made_at=now,
        )
    )
    return part
