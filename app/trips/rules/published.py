"""The mileage rates the United States publish for business use of a car, as a dated table."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from app.trips.rules.distance import DistanceUnit

PUBLISHED_CURRENCY: Final = "USD"
"""The currency the published rates are told in: in a shop that keeps its books in another they say nothing."""


@dataclass(frozen=True)
class PublishedRate:
    """A published rate from a day to a day, both included, in hundredths of a cent for one mile.

    `notice` is what laid it down, `release` the news release that told of it ("" where its number was not found).
    The rates were all read in print; where `is_notice_recalled`, the notice's number is from memory.
    """

    from_date: date
    until_date: date
    hundredths: int
    notice: str
    release: str
    is_notice_recalled: bool = False
    unit: DistanceUnit = DistanceUnit.MILE

    @property
    def cents_per_mile(self) -> Decimal:
        """The rate in cents for one mile."""
        return Decimal(self.hundredths) / 100

    @property
    def source(self) -> str:
        """Where it is from, in words."""
        recalled = " (check this number)" if self.is_notice_recalled else ""
        return ", ".join(word for word in (f"{self.notice}{recalled}", self.release) if word)


def _of_year(year: int, hundredths: int, notice: str, release: str, *, is_recalled: bool = False) -> PublishedRate:
    return PublishedRate(date(year, 1, 1), date(year, 12, 31), hundredths, notice, release, is_recalled)


PUBLISHED_RATES: Final = (
    _of_year(2018, 54_50, "Notice 2018-03", "IR-2017-204"),
    _of_year(2019, 58_00, "Notice 2019-02", "IR-2018-251", is_recalled=True),
    _of_year(2020, 57_50, "Notice 2020-05", "IR-2019-215"),
    _of_year(2021, 56_00, "Notice 2021-02", "IR-2020-279"),
    PublishedRate(date(2022, 1, 1), date(2022, 6, 30), 58_50, "Notice 2022-03", "IR-2021-251"),
    PublishedRate(date(2022, 7, 1), date(2022, 12, 31), 62_50, "Announcement 2022-13", "IR-2022-124"),
    _of_year(2023, 65_50, "Notice 2023-03", "IR-2022-234", is_recalled=True),
    _of_year(2024, 67_00, "Notice 2024-08", "IR-2023-239"),
    _of_year(2025, 70_00, "Notice 2025-5", "IR-2024-312"),
    _of_year(2026, 72_50, "Notice 2026-10", ""),
)
"""The standard rates for business use, the oldest first. A year that is missing has no rate here."""
