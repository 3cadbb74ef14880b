"""A made-up shop of any size with every kind of money row, written in bulk: for benchmarks and for comparing routes.

The rows are consistent: steps match sales, returns and leavings, shares add up, the shelf charges at moving average,
and `tackcloth check` finds nothing. Whoever wants one shop twice gives the same seed.
"""

from tests.builders.big_shop.filling import FIRST_DAY, LAST_DAY, MONEY_TABLES, fill_big_shop

__all__ = ["FIRST_DAY", "LAST_DAY", "MONEY_TABLES", "fill_big_shop"]
