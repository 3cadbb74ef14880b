"""What can be done with a sale, its refunds and returns, deposits, and the places of sales tax."""

from app.sales.actions.deposits import (
    end_deposit,
    strike_deposit,
    strike_end,
    take_deposit,
)
from app.sales.actions.giving_back import (
    record_refund,
    record_return,
    strike_refund,
    strike_return,
)
from app.sales.actions.selling import (
    record_sale,
    strike_sale,
)
from app.sales.actions.tax import (
    add_tax_place,
    add_tax_rate,
    correct_tax_place,
    strike_tax_rate,
)

__all__ = [
    "add_tax_place",
    "add_tax_rate",
    "correct_tax_place",
    "end_deposit",
    "record_refund",
    "record_return",
    "record_sale",
    "strike_deposit",
    "strike_end",
    "strike_refund",
    "strike_return",
    "strike_sale",
    "strike_tax_rate",
    "take_deposit",
]
