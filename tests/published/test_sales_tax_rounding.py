"""How sales tax is rounded, against the rule as enacted.

Source: Streamlined Sales and Use Tax Agreement, section 324, as enacted in N.D.C.C. 57-39.4-25 and R.I. Gen. Laws
44-18.1-25 (https://webserver.rilegislature.gov/Statutes/TITLE44/44-18.1/44-18.1-25.HTM): carry to the third decimal
place and round up where that digit exceeds four; by item or by invoice, as the seller chooses. The rule is the
published part; each amount below is DERIVED from it by hand.
"""

from hypothesis import given
from hypothesis import strategies as st

from app.sales.rules import TaxBasis, tax_due, tax_of_items


def test_the_third_decimal_decides_and_nothing_is_rounded_before_it() -> None:
    """1.07 at 7 % is 0.0749: its third decimal is four. Rounded to three places first it would become 0.08."""
    for basis in TaxBasis:
        assert tax_of_items([1_07], 70_000, basis) == 7


def test_three_items_are_rounded_each_by_itself_or_together() -> None:
    """3 x 0.50 at 7 %: 0.035 is 0.04 for each item; 0.105 is 0.11 on the invoice."""
    assert tax_of_items([50, 50, 50], 70_000, TaxBasis.ITEM) == 12
    assert tax_of_items([50, 50, 50], 70_000, TaxBasis.INVOICE) == 11


def test_a_piece_and_its_delivery_are_two_items() -> None:
    assert tax_due(50, 50, 70_000, TaxBasis.ITEM) == 8
    assert tax_due(50, 50, 70_000, TaxBasis.INVOICE) == 7


@given(st.integers(0, 10**9), st.integers(0, 1_000_000))
def test_the_rule_of_the_third_decimal_is_what_is_worked_out(cents: int, rate_ppm: int) -> None:
    """The rule in its own words: cut after the third decimal, then look at that digit alone."""
    thousandths = cents * rate_ppm // 100_000
    whole, third_digit = divmod(thousandths, 10)
    assert tax_of_items([cents], rate_ppm, TaxBasis.INVOICE) == whole + (third_digit > 4)
