"""The self-employment tax of a grocery store, against the worked example of a public course for tax volunteers.

Source: IRS, VITA/TCE course, lesson on Form 1040-SS, the grocery store example (gross profit 77,200; rent 5,400,
utilities 4,200, insurance 1,900; three items to be left out),
http://apps.irs.gov/app/vita/content/0509/0509_01_055.jsp. Printed: net earnings 60,674; social security 7,524;
Medicare 1,760; tax 9,284, each part rounded to dollars. To the cent the same figures make 9,283.11, which is our own
arithmetic. The profit lies below every wage base known here.
"""

import pytest

from app.reports.rules import self_employment_tax
from app.reports.rules.self_employment import WAGE_BASES

PROFIT = (77_200 - 5_400 - 4_200 - 1_900) * 100


def test_the_profit_of_the_example_is_as_published() -> None:
    assert PROFIT == 65_700_00


@pytest.mark.parametrize("year", sorted(WAGE_BASES))
def test_in_whole_dollars_every_part_is_as_published(year: int) -> None:
    tax = self_employment_tax(PROFIT, year, whole_dollars=True)

    assert tax is not None
    assert (tax.net_earnings, tax.social_security, tax.medicare) == (60_674_00, 7_524_00, 1_760_00)
    assert tax.tax == 9_284_00


def test_to_the_cent_it_is_rounded_once() -> None:
    tax = self_employment_tax(PROFIT, 2025)

    assert tax is not None
    assert (tax.net_earnings, tax.tax) == (60_673_95, 9_283_11)
