"""The most the social security part can come to, against published maxima.

Sources: for 2025 (176,100 at 12.4 percent: 21,836.40)
https://www.open-exam-prep.com/exams/cfp/tax-planning/self-employment-tax; for 2026 (184,500: 22,878)
https://www.farmcpareport.com/p/2026-social-security-wage-base-increases; the bases of 2018 to 2025 by the Social
Security Administration, https://ssa.gov/OACT/COLA/autoAdj.html. A column in print that leaves 13,900 of the 2025 base
beside wages of 100,000 is a known slip: 76,100 is left.
"""

import pytest

from app.reports.rules import self_employment_tax
from app.reports.rules.self_employment import WAGE_BASES

LARGE = 1_000_000_00


@pytest.mark.parametrize(("year", "most"), [(2025, 21_836_40), (2026, 22_878_00)])
def test_the_social_security_part_stops_at_the_published_maximum(year: int, most: int) -> None:
    tax = self_employment_tax(LARGE, year)

    assert tax is not None
    assert tax.social_security == most


def test_the_wage_bases_are_as_published() -> None:
    assert list(WAGE_BASES.values())[:8] == [128_400, 132_900, 137_700, 142_800, 147_000, 160_200, 168_600, 176_100]
    assert WAGE_BASES[2026] == 184_500


def test_other_wages_take_up_the_base_first() -> None:
    tax = self_employment_tax(90_000_00, 2025, other_wages=100_000_00)

    assert tax is not None
    assert tax.room == 76_100_00
    assert tax.social_security == 9_436_40
