"""The business mileage rates of the United States, against the tax office's own table and notices.

Sources: the IRS's table, https://www.irs.gov/tax-professionals/standard-mileage-rates (stored copy to 2023, with the
news releases); Notice 2018-03 at http://rlsire.com/wp/frequently-asked-questions/automobile-expenses/
standard-mileage-rates-for-business-use/; Notice 2020-05 at https://mjscpa.com/?p=659; Notice 2022-03 and Announcement
2022-13 at https://www.mcilvain.net/irs-notice-mileage-rates/; IR-2023-239 at https://payality.com/?p=741; Notice
2024-08 at https://www.cbiz.com/insights/articles/article-details/irs-mileage-rates-for-2025; Notice 2025-5 at
https://kpmg.com/us/en/taxnewsflash/news/2024/12/tnf-notice-2025-5-standard-mileage-rates-2025.html; Notice 2026-10 at
https://blogs.payroll.org/pay-news-now/business-standard-mileage-rate-increases-to-72.5-cents-in-2026. The numbers of
Notice 2019-02 and 2023-03 are from memory, and the news release of 2026 was not found.

Derived, our own arithmetic on these rates: the boundary days of 2022 with 100 miles each, and the 13 miles of 2026,
which show the rounding.
"""

from datetime import date
from decimal import Decimal

import pytest

from app.trips.rules import PUBLISHED_RATES, Distance, DistanceUnit, ShopRates, amount_at, rate_on

TABLE = [
    (date(2018, 1, 1), date(2018, 12, 31), "54.5", "Notice 2018-03", "IR-2017-204", False),
    (date(2019, 1, 1), date(2019, 12, 31), "58", "Notice 2019-02", "IR-2018-251", True),
    (date(2020, 1, 1), date(2020, 12, 31), "57.5", "Notice 2020-05", "IR-2019-215", False),
    (date(2021, 1, 1), date(2021, 12, 31), "56", "Notice 2021-02", "IR-2020-279", False),
    (date(2022, 1, 1), date(2022, 6, 30), "58.5", "Notice 2022-03", "IR-2021-251", False),
    (date(2022, 7, 1), date(2022, 12, 31), "62.5", "Announcement 2022-13", "IR-2022-124", False),
    (date(2023, 1, 1), date(2023, 12, 31), "65.5", "Notice 2023-03", "IR-2022-234", True),
    (date(2024, 1, 1), date(2024, 12, 31), "67", "Notice 2024-08", "IR-2023-239", False),
    (date(2025, 1, 1), date(2025, 12, 31), "70", "Notice 2025-5", "IR-2024-312", False),
    (date(2026, 1, 1), date(2026, 12, 31), "72.5", "Notice 2026-10", "", False),
]


def cents(miles: int, day: date) -> int:
    """What whole miles come to on a day."""
    rate = ShopRates().on(day)
    return amount_at(Distance(miles * 100, DistanceUnit.MILE), rate.hundredths, rate.unit)


@pytest.mark.parametrize(("first", "last", "rate"), [row[:3] for row in TABLE])
def test_the_rate_of_each_period_holds_from_its_first_day_to_its_last(first: date, last: date, rate: str) -> None:
    assert rate_on(first) == rate_on(last) == Decimal(rate)


def test_the_shipped_table_is_the_published_one_with_its_notices() -> None:
    shipped = [
        (one.from_date, one.until_date, one.cents_per_mile, one.notice, one.release, one.is_notice_recalled)
        for one in PUBLISHED_RATES
    ]
    assert shipped == [(first, last, Decimal(rate), *rest) for first, last, rate, *rest in TABLE]


@pytest.mark.parametrize(
    ("day", "rate", "amount"), [(date(2022, 6, 30), "58.5", 58_50), (date(2022, 7, 1), "62.5", 62_50)]
)
def test_the_rate_changed_in_the_middle_of_2022(day: date, rate: str, amount: int) -> None:
    # The rates are published; the hundred miles on each of the two days are derived.
    assert rate_on(day) == Decimal(rate)
    assert cents(100, day) == amount


def test_an_exact_half_cent_goes_up() -> None:
    # Derived: 13 miles in 2026 come to 9.425.
    assert cents(13, date(2026, 3, 1)) == 9_43


def test_twenty_thousand_miles_of_2026_come_to_the_stored_product() -> None:
    assert cents(20_000, date(2026, 12, 31)) == 14_500_00
