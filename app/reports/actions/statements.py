"""Keep what a channel's own yearly statement says."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, StaleEdit
from app.basics.money import money_plain
from app.basics.words import LINE_LIMIT, clean_line
from app.floor.models import Channel
from app.floor.queries import shop_today
from app.reports.models import ChannelStatement
from app.reports.rules.statements import require_sound_statement

NONE_YET = -1
"""The version a form carries that was made before there was a statement: no row has it."""


def keep_statement(
    session: Session,
    channel_id: int,
    year: int,
    *,
    gross_cents: int,
    note: str,
    version: int | None,
    places: int,
    now: datetime,
) -> ChannelStatement:
    """Write down or put right what a channel's statement of a year says; `version` is None where it is not asked.

    It is no row of the books: nothing follows from it, so a closed month does not hold it. Refuses a year to come
    and an amount below zero (RuleError); raises NotFound, and StaleEdit when it changed since `version`.
    """
    if session.get(Channel, channel_id) is None:
        raise NotFound("channel")
    require_sound_statement(year, gross_cents, this_year=shop_today(session, now).year)
    line = clean_line(note, LINE_LIMIT)
    wanted = select(ChannelStatement).where(ChannelStatement.channel_id == channel_id, ChannelStatement.year == year)
    row = session.scalars(wanted).first()
    if version is not None and version != (row.version if row else NONE_YET):
        said = {"Total": money_plain(row.gross_cents, places), "Note": row.note} if row else {"Total": "nothing yet"}
        raise StaleEdit("statement", said, row.version if row else None)
    if row is None:
        row = ChannelStatement(channel_id=channel_id, year=year)
        session.add(row)
    row.gross_cents = gross_cents
    row.note = line
    row.made_at = now
    session.flush()
    return row
