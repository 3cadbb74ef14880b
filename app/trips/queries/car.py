"""Read the year of the car: what it ran in all, what of that was business by the log, and the rest."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import FIRST_YEAR, LAST_YEAR
from app.basics.errors import NotFound
from app.shop.queries import shop_facts
from app.trips.models import CarYear
from app.trips.queries.rows import TripTotals, year_totals
from app.trips.rules import CarFacts, Distance, DistanceUnit, other_hundredths, usual_unit


@dataclass(frozen=True)
class CarYearSheet:
    """A car's year: business is what the log holds at the rate; `facts` is None until the owner has said them.

    Trips at actual cost are in `totals` alone: they are taken to be made with a car that is hired or lent.
    `version` is None while nothing was said; `served_since` is the day said for this year, or else before it.
    """

    year: int
    unit: DistanceUnit
    totals: TripTotals
    facts: CarFacts | None
    version: int | None
    served_since: date | None

    @property
    def business(self) -> Distance:
        """What the log holds at the rate."""
        return self.totals.rate_distance(self.unit)

    @property
    def total(self) -> Distance | None:
        """All it ran."""
        return None if self.facts is None else Distance(self.facts.total_hundredths, self.unit)

    @property
    def commuting(self) -> Distance | None:
        """The way to other work and back."""
        return None if self.facts is None else Distance(self.facts.commuting_hundredths, self.unit)

    @property
    def other(self) -> Distance | None:
        """The rest; None while nothing was said, or where the log holds more than the car ran."""
        if self.facts is None or self.is_too_much:
            return None
        return Distance(other_hundredths(self.facts, self.business), self.unit)

    @property
    def is_too_much(self) -> bool:
        """Whether the log has come to hold more than the car ran in all."""
        return self.facts is not None and other_hundredths(self.facts, self.business) < 0


def car_year_sheet(session: Session, year: int) -> CarYearSheet:
    """The car's year; raises NotFound for a year nobody keeps books in."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise NotFound("year")
    said = session.scalars(select(CarYear).where(CarYear.year <= year).order_by(CarYear.year.desc())).all()
    row = next((one for one in said if one.year == year), None)
    shop = shop_facts(session)
    if row is not None:
        unit = row.unit
    elif said:
        unit = said[0].unit
    else:
        unit = usual_unit(shop.units) if shop else DistanceUnit.MILE
    return CarYearSheet(
        year=year,
        unit=unit,
        totals=year_totals(session, year),
        facts=None if row is None else _facts(row),
        version=None if row is None else row.version,
        served_since=next((one.in_service_on for one in said if one.in_service_on), None),
    )


def _facts(row: CarYear) -> CarFacts:
    return CarFacts(row.year, row.unit, row.total_hundredths, row.commuting_hundredths, row.in_service_on)
