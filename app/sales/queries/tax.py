"""Read the places sales tax is for, with their rates by date."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.sales.models import Sale, TaxPlace, TaxRate
from app.sales.rules import BASIS_WORDS, DatedRate, PlaceOfTax, TaxBasis, rate_on


@dataclass(frozen=True)
class TaxRateRow:
    """A place's rate from a day on, as its page shows it; `until` is the first day it holds no more."""

    id: int
    place_id: int
    from_date: date
    until: date | None
    rate_ppm: int
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out as a mistake."""
        return self.struck_at is not None


@dataclass(frozen=True)
class TaxPlaceRow:
    """A place whose sales tax is collected, how its tax is rounded, and its rates, the newest day first."""

    id: int
    name: str
    basis: TaxBasis
    is_put_away: bool
    version: int
    rates: tuple[TaxRateRow, ...]

    @property
    def basis_words(self) -> str:
        """What its tax is rounded on."""
        return BASIS_WORDS[self.basis]

    def rate_on(self, day: date) -> int | None:
        """The rate in force on a day, in millionths; None before the first."""
        return rate_on(day, (DatedRate(row.from_date, row.rate_ppm) for row in self.rates if not row.is_struck))

    def on(self, day: date) -> PlaceOfTax:
        """The place with the rate of a day."""
        return PlaceOfTax(self.id, self.name, self.rate_on(day), self.basis)


def tax_places(session: Session, *, include_put_away: bool = False) -> list[TaxPlaceRow]:
    """The places by name, without those put away unless asked for; always the same number of queries."""
    wanted = select(TaxPlace).order_by(func.lower(TaxPlace.name), TaxPlace.id)
    if not include_put_away:
        wanted = wanted.where(TaxPlace.is_put_away.is_(False))
    return _place_rows(session, session.scalars(wanted).all())


def tax_place_by_id(session: Session, place_id: int) -> TaxPlaceRow:
    """A place by its number; raises NotFound."""
    place = session.get(TaxPlace, place_id)
    if place is None:
        raise NotFound("place of sales tax")
    return _place_rows(session, [place])[0]


def tax_rate_by_id(session: Session, rate_id: int) -> TaxRateRow:
    """A rate by its number; raises NotFound."""
    rate = session.get(TaxRate, rate_id)
    if rate is None:
        raise NotFound("rate of sales tax")
    return next(row for row in tax_place_by_id(session, rate.place_id).rates if row.id == rate_id)


def last_tax_place(session: Session) -> int | None:
    """The place the tax of the newest sale that counts was for; None when it was for none."""
    newest = select(Sale.tax_place_id).where(Sale.struck_at.is_(None)).order_by(Sale.id.desc())
    return session.scalar(newest.limit(1))


def _place_rows(session: Session, places: Sequence[TaxPlace]) -> list[TaxPlaceRow]:
    rates: dict[int, list[TaxRate]] = defaultdict(list)
    wanted = select(TaxRate).where(TaxRate.place_id.in_([place.id for place in places]))
    for rate in session.scalars(wanted.order_by(TaxRate.from_date.desc(), TaxRate.id.desc())):
        rates[rate.place_id].append(rate)
    return [
        TaxPlaceRow(
            id=place.id,
            name=place.name,
            basis=place.basis,
            is_put_away=place.is_put_away,
            version=place.version,
            rates=tuple(_rate_rows(rates[place.id])),
        )
        for place in places
    ]


def _rate_rows(rates: Sequence[TaxRate]) -> list[TaxRateRow]:
    counting = sorted(rate.from_date for rate in rates if rate.struck_at is None)
    return [
        TaxRateRow(
            id=rate.id,
            place_id=rate.place_id,
            from_date=rate.from_date,
            until=next((day for day in counting if day > rate.from_date and rate.struck_at is None), None),
            rate_ppm=rate.rate_ppm,
            made_at=rate.made_at,
            struck_at=rate.struck_at,
            struck_reason=rate.struck_reason,
        )
        for rate in rates
    ]
