"""What a half-finished thing will bring, against a published case.

Source: Lumen Learning / SUNY, *Financial Accounting*, "Lower of Cost or Net Realizable Value Applied",
https://courses.lumenlearning.com/suny-clinton-financialaccounting/chapter/lower-of-cost-or-net-realizable-value-applied
(expected price 70, cost to finish 20: 50). The write-down of 60 from a cost of 110 is our own subtraction.
"""

from app.reports.rules import net_realisable, write_down_needed


def test_the_cost_to_finish_comes_off_the_price_as_published() -> None:
    assert net_realisable(70_00, 20_00) == 50_00


def test_what_cost_more_is_written_down_to_that() -> None:
    assert write_down_needed(110_00, net_realisable(70_00, 20_00)) == 60_00
