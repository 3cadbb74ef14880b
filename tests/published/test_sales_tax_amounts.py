"""Sales tax on amounts of a textbook: what is due, what the buyer pays, and that it is a liability and no income.

Source: OpenStax, *Principles of Accounting* Vol. 1 (Financial), sec. 12.1 (module m67903): 50.00 at 8 % is a tax of
4.00 and a total of 54.00. The inputs of the two longer rows are that section's exercises; their answers are DERIVED.
"""

import pytest

from app.sales.rules import NewSale, TaxBasis, tax_due, tax_of_items
from tests.builders.sales import SOLD


def test_fifty_at_eight_percent() -> None:
    tax = tax_due(50_00, 0, 80_000, TaxBasis.INVOICE)
    assert tax == 4_00
    sale = NewSale(1, SOLD, None, 50_00, tax_cents=tax)
    assert sale.due_cents == 54_00
    assert sale.net_cents == 50_00


@pytest.mark.parametrize(
    ("lines", "rate_ppm", "total", "tax"),
    [
        (((38, 45_00), (22, 80_00)), 60_000, 3_470_00, 208_20),
        (((75, 30_00), (60, 100_00)), 45_000, 8_250_00, 371_25),
    ],
)
def test_the_exercises_come_to_the_same_on_either_basis(
    lines: tuple[tuple[int, int], ...], rate_ppm: int, total: int, tax: int
) -> None:
    """DERIVED answers: 208.20 and 371.25; no line leaves a fraction of a cent, so both bases agree."""
    items = [quantity * cents for quantity, cents in lines]
    assert sum(items) == total
    assert [tax_of_items(items, rate_ppm, basis) for basis in TaxBasis] == [tax, tax]
