"""The lower of cost and net realisable value, item by item, against a published table.

Source: Lumen Learning / SUNY, *Financial Accounting*, "Lower of Cost or Net Realizable Value (LCNRV) Applied",
https://courses.lumenlearning.com/suny-clinton-financialaccounting/chapter/lower-of-cost-or-net-realizable-value-applied-2/
(the seven items and both totals; that the total needs no write-down stands in the sister page of the same course). The
write-down of 51,815 is our own subtraction of the two published totals.
"""

import pytest

from app.reports.rules import net_realisable, write_down_needed

ITEMS = [
    ("A101", 30, 99_000, 102_00, 2_970_00),
    ("CAB 500", 500, 58_000, 50_00, 25_000_00),
    ("CAB 600", 15, 99_000, 50_00, 750_00),
    ("MMM 333", 64, 1_255_500, 2_625_00, 80_352_00),
    ("Rel 5", 100, 110_000, 50_00, 5_000_00),
    ("RFS-212", 150, 650_000, 400_00, 60_000_00),
    ("XPS-101", 160, 102_375, 80_00, 12_800_00),
]
"""Item, quantity, cost of one in thousandths, what one will bring in hundredths, and the lower of the two in all."""


def cost_of(quantity: int, one_in_thousandths: int) -> int:
    """Cents of all; every published product is whole."""
    cents, rest = divmod(quantity * one_in_thousandths, 10)
    assert rest == 0
    return cents


@pytest.mark.parametrize(("quantity", "cost", "net", "lower"), [item[1:] for item in ITEMS], ids=[i[0] for i in ITEMS])
def test_each_item_is_carried_at_the_published_lower_amount(quantity: int, cost: int, net: int, lower: int) -> None:
    in_all = cost_of(quantity, cost)

    assert in_all - write_down_needed(in_all, quantity * net_realisable(net)) == lower


def test_item_by_item_the_totals_are_as_published() -> None:
    costs = [cost_of(quantity, cost) for _, quantity, cost, _, _ in ITEMS]
    needed = [
        write_down_needed(cost, item[1] * net_realisable(item[3])) for cost, item in zip(costs, ITEMS, strict=True)
    ]

    assert sum(costs) == 238_687_00
    assert sum(costs) - sum(needed) == 186_872_00
    assert sum(needed) == 51_815_00


def test_taken_all_together_nothing_would_be_written_down() -> None:
    costs = sum(cost_of(quantity, cost) for _, quantity, cost, _, _ in ITEMS)

    assert write_down_needed(costs, sum(quantity * net for _, quantity, _, net, _ in ITEMS)) == 0
