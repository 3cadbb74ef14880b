"""Keep the places sales tax is for, and their rates by date."""

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import day_in_words
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.striking import reason_to_keep, require_not_struck
from app.basics.words import NAME_LIMIT, clean_line
from app.sales.models import TaxPlace, TaxRate
from app.sales.rules import BASIS_WORDS, TaxBasis, require_sound_place, require_sound_rate


def add_tax_place(session: Session, *, name: str, basis: TaxBasis) -> TaxPlace:
    """Add a place whose sales tax is collected, and what its tax is rounded on.

    Refuses no name and a name that is there already in whatever case (RuleError).
    """
    line = clean_line(name, NAME_LIMIT)
    require_sound_place(line)
    _require_fresh_name(session, line, None)
    place = TaxPlace(name=line, basis=basis, is_put_away=False)
    session.add(place)
    session.flush()
    return place


def correct_tax_place(
    session: Session, place_id: int, *, name: str, basis: TaxBasis, is_put_away: bool, version: int | None
) -> TaxPlace:
    """Put a place right, or put it away; sales recorded before keep the rounding they had.

    Refuses as `add_tax_place` does; raises NotFound, and StaleEdit when it changed since `version`.
    """
    place = _place(session, place_id)
    if version is not None and version != place.version:
        raise StaleEdit("place", _in_words(place), place.version)
    line = clean_line(name, NAME_LIMIT)
    require_sound_place(line)
    _require_fresh_name(session, line, place_id)
    place.name = line
    place.basis = basis
    place.is_put_away = is_put_away
    session.flush()
    return place


def add_tax_rate(session: Session, place_id: int, *, from_date: date, rate_ppm: int, now: datetime) -> TaxRate:
    """Say a place's rate in millionths from a day on, gone by or to come; sales recorded before keep theirs.

    Refuses a rate that cannot be, and a second one from the same day (RuleError); raises NotFound.
    """
    _place(session, place_id)
    require_sound_rate(rate_ppm)
    counting = select(TaxRate.id).where(TaxRate.place_id == place_id, TaxRate.struck_at.is_(None))
    if session.scalar(counting.where(TaxRate.from_date == from_date)) is not None:
        raise RuleError(f"A rate from {day_in_words(from_date)} on is there already. Strike it out first.", "from_date")
    rate = TaxRate(place_id=place_id, from_date=from_date, rate_ppm=rate_ppm, made_at=now)
    session.add(rate)
    session.flush()
    return rate


def strike_tax_rate(session: Session, rate_id: int, *, reason: str, now: datetime) -> TaxRate:
    """Strike out a rate: the one before it is in force again. Sales keep the tax they had.

    Refuses one struck out before (AlreadyStruck) and an empty reason (RuleError); raises NotFound.
    """
    rate = session.get(TaxRate, rate_id)
    if rate is None:
        raise NotFound("rate of sales tax")
    require_not_struck("rate", rate.struck_reason)
    rate.struck_reason = reason_to_keep(reason)
    rate.struck_at = now
    session.flush()
    return rate


def _place(session: Session, place_id: int) -> TaxPlace:
    place = session.get(TaxPlace, place_id)
    if place is None:
        raise NotFound("place of sales tax")
    return place


def _require_fresh_name(session: Session, name: str, own_id: int | None) -> None:
    taken = session.execute(select(TaxPlace.id, TaxPlace.name)).all()
    if any(other.casefold() == name.casefold() and other_id != own_id for other_id, other in taken):
        raise RuleError("There is a place of that name already.", "name")


def _in_words(place: TaxPlace) -> dict[str, str]:
    return {
        "Name": place.name,
        "Rounded": BASIS_WORDS[place.basis],
        "Put away": "yes" if place.is_put_away else "no",
    }
