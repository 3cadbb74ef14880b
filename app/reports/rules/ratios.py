"""The ratios of a period, each exact and with its definition in words; what cannot be told is None."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

DEFINITIONS: Final = {
    "margin": "Gross profit divided by net receipts: what is left of each unit of money taken in.",
    "markup": "Gross profit divided by the cost of what sold: what is put on top of what a piece cost.",
    "turnover": "Cost of what sold divided by the stock at cost on average: how often the stock was sold over.",
    "days": "Stock at cost on average divided by the cost of what sold in a day: for how many days it lasts.",
    "sell_through": "Pieces sold divided by those that could have sold: here at the start, or come since.",
    "on_cash": "Profit of the pieces that sold divided by all the money put into them.",
    "on_stock": "Gross profit divided by the stock at cost on average: what each unit of money tied up there brought.",
}
"""What each ratio of a period is, as its page says it. Gross profit is net receipts (sale prices and delivery charged
less refunds) less the cost of what sold, given what came back. Margin is on the price, markup on the cost: IRS Pub. 334
chapter 7 tests the first, and a third of the price is half of the cost."""


def margin(net_receipts: int, cost_of_goods_sold: int) -> Fraction | None:
    """Gross profit over net receipts; None where nothing was taken in."""
    return Fraction(net_receipts - cost_of_goods_sold, net_receipts) if net_receipts > 0 else None


def markup(net_receipts: int, cost_of_goods_sold: int) -> Fraction | None:
    """Gross profit over the cost of goods sold; None where what sold had cost nothing."""
    return Fraction(net_receipts - cost_of_goods_sold, cost_of_goods_sold) if cost_of_goods_sold > 0 else None


def turnover(cost_of_goods_sold: int, average_stock: Fraction | int) -> Fraction | None:
    """How often the average stock at cost was sold over; None where there was no stock."""
    return Fraction(cost_of_goods_sold) / average_stock if average_stock > 0 else None


def days_of_stock(average_stock: Fraction | int, cost_of_goods_sold: int, days: int) -> Fraction | None:
    """For how many days the average stock lasts at the pace of a period of `days` days; None where nothing sold."""
    return Fraction(average_stock) * days / cost_of_goods_sold if cost_of_goods_sold > 0 else None


def sell_through(sold: int, available: int) -> Fraction | None:
    """Pieces sold over pieces that could have sold; None where there were none.

    More than one definition is in use, apart only in what counts as available: what was received, what was there at
    the start, or both. Ours is both; see DEFINITIONS.
    """
    return Fraction(sold, available) if available > 0 else None


def return_on_money(profit: int, money: int) -> Fraction | None:
    """Profit over the money it was made with; None where no money was put in."""
    return Fraction(profit, money) if money > 0 else None


def return_on_stock(gross_profit: int, average_stock: Fraction | int) -> Fraction | None:
    """Gross profit over the average stock at cost; None where there was no stock."""
    return Fraction(gross_profit) / average_stock if average_stock > 0 else None


def mean_stock(levels: Sequence[int]) -> Fraction | None:
    """The exact mean of stock levels in cents, as of an opening and a closing or of month ends; None of none."""
    return Fraction(sum(levels), len(levels)) if levels else None


@dataclass(frozen=True, slots=True)
class PeriodFigures:
    """What the ratios of a period are worked out from: cents, and counts of pieces.

    `cost_of_goods_sold` is above zero and already given what came back; `levels` is the stock at cost at the start
    and at each month's end; `put_in` and `made` belong to the pieces whose sale in the period stands.
    """

    first: date
    last: date
    net_receipts: int
    cost_of_goods_sold: int
    levels: tuple[int, ...]
    here_at_start: int
    came: int
    sold: int
    put_in: int
    made: int

    @property
    def gross_profit(self) -> int:
        """Net receipts less the cost of what sold."""
        return self.net_receipts - self.cost_of_goods_sold

    @property
    def days(self) -> int:
        """Days of the period, both ends included."""
        return (self.last - self.first).days + 1


@dataclass(frozen=True, slots=True)
class Ratios:
    """The ratios of a period, exact; None where there is nothing to divide by."""

    margin: Fraction | None
    markup: Fraction | None
    average_stock: Fraction | None
    turnover: Fraction | None
    days: Fraction | None
    sell_through: Fraction | None
    on_cash: Fraction | None
    on_stock: Fraction | None


def ratios_of(figures: PeriodFigures) -> Ratios:
    """Every ratio of a period; the average stock is the mean of its start and its month ends."""
    average = mean_stock(figures.levels)
    stock = average if average is not None else 0
    return Ratios(
        margin=margin(figures.net_receipts, figures.cost_of_goods_sold),
        markup=markup(figures.net_receipts, figures.cost_of_goods_sold),
        average_stock=average,
        turnover=turnover(figures.cost_of_goods_sold, stock),
        days=days_of_stock(stock, figures.cost_of_goods_sold, figures.days),
        sell_through=sell_through(figures.sold, figures.here_at_start + figures.came),
        on_cash=return_on_money(figures.made, figures.put_in),
        on_stock=return_on_stock(figures.gross_profit, stock),
    )
