"""Keep the channels, and what each takes from which day on."""

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import flag_modified

from app.basics.dates import day_in_words
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.quantities import format_percent
from app.basics.striking import reason_to_keep, require_not_struck
from app.basics.words import LINE_LIMIT, NAME_LIMIT, clean_line
from app.floor.models import Channel, ChannelFee
from app.floor.rules import require_sound_channel, require_sound_fee


def add_channel(
    session: Session, *, name: str, percent_hundredths: int | None = None, fixed_cents: int | None = None
) -> Channel:
    """Add a kind of place to sell: what it takes in hundredths of a percent and in fixed cents.

    Both None: nobody has said, which is told apart from a channel said to take nothing. Refuses an unsound
    channel and a name that is there already in whatever case (RuleError).
    """
    line = clean_line(name, NAME_LIMIT)
    percent, fixed = percent_hundredths or 0, fixed_cents or 0
    require_sound_channel(line, percent, fixed)
    _require_fresh_name(session, line, None)
    channel = Channel(name=line, percent_hundredths=percent, fixed_cents=fixed, is_put_away=False)
    session.add(channel)
    session.flush()
    if percent_hundredths is not None or fixed_cents is not None:
        _settle(session, channel)
    return channel


def correct_channel(
    session: Session,
    channel_id: int,
    *,
    name: str,
    percent_hundredths: int,
    fixed_cents: int,
    is_put_away: bool,
    version: int | None,
) -> Channel:
    """Put a channel right, or put it away; sales recorded before keep the fees they had.

    What it takes is then said, even when that is nothing.

    Refuses as `add_channel` does; raises NotFound, and StaleEdit when it changed since `version`.
    """
    channel = session.get(Channel, channel_id)
    if channel is None:
        raise NotFound("channel")
    if version is not None and version != channel.version:
        raise StaleEdit("channel", _in_words(channel), channel.version)
    line = clean_line(name, NAME_LIMIT)
    require_sound_channel(line, percent_hundredths, fixed_cents)
    _require_fresh_name(session, line, channel_id)
    channel.name = line
    channel.percent_hundredths = percent_hundredths
    channel.fixed_cents = fixed_cents
    channel.is_put_away = is_put_away
    _settle(session, channel)
    return channel


def add_fee(
    session: Session,
    channel_id: int,
    *,
    from_date: date,
    percent_hundredths: int,
    fixed_cents: int,
    note: str,
    now: datetime,
) -> ChannelFee:
    """Say what a channel takes from a day on, gone by or to come; sales recorded before keep the fees they had.

    Refuses a fee that cannot be, and a second one from the same day (RuleError); raises NotFound.
    """
    if session.get(Channel, channel_id) is None:
        raise NotFound("channel")
    require_sound_fee(percent_hundredths, fixed_cents)
    counting = select(ChannelFee.id).where(ChannelFee.channel_id == channel_id, ChannelFee.struck_at.is_(None))
    if session.scalar(counting.where(ChannelFee.from_date == from_date)) is not None:
        raise RuleError(f"A fee from {day_in_words(from_date)} on is there already. Strike it out first.", "from_date")
    fee = ChannelFee(
        channel_id=channel_id,
        from_date=from_date,
        percent_hundredths=percent_hundredths,
        fixed_cents=fixed_cents,
        note=clean_line(note, LINE_LIMIT),
        made_at=now,
    )
    session.add(fee)
    session.flush()
    return fee


def strike_fee(session: Session, fee_id: int, *, reason: str, now: datetime) -> ChannelFee:
    """Strike out a dated fee: the one before it is proposed again. Sales keep the fees they had.

    Refuses one struck out before (AlreadyStruck) and an empty reason (RuleError); raises NotFound.
    """
    fee = session.get(ChannelFee, fee_id)
    if fee is None:
        raise NotFound("fee")
    require_not_struck("fee", fee.struck_reason)
    fee.struck_reason = reason_to_keep(reason)
    fee.struck_at = now
    session.flush()
    return fee


def _settle(session: Session, channel: Channel) -> None:
    """Count the channel as looked at by the owner, although nothing on it may have changed."""
    flag_modified(channel, "name")
    session.flush()


def _require_fresh_name(session: Session, name: str, own_id: int | None) -> None:
    taken = session.execute(select(Channel.id, Channel.name)).all()
    if any(other.casefold() == name.casefold() and other_id != own_id for other_id, other in taken):
        raise RuleError("There is a channel of that name already.", "name")


def _in_words(channel: Channel) -> dict[str, str]:
    return {
        "Name": channel.name,
        "Percent": format_percent(channel.percent_hundredths),
        "Put away": "yes" if channel.is_put_away else "no",
    }
