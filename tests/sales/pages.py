"""What the tests of the sales pages share: reading forms, reading the ledger, telling something wrong."""

from typing import NamedTuple

from app.database.unit_of_work import Ledger
from app.sales.queries import SaleRow, sales_of
from tests.examining_client import Page


class Refusal(NamedTuple):
    """What is told wrong, the box at fault and the words beside it."""

    said: dict[str, str]
    field: str
    words: str


def fields_of(html: str, action: str) -> dict[str, str]:
    """The hidden fields of the form that posts to `action`."""
    found: dict[str, str] = next(form["fields"] for form in Page(html).forms if form["action"] == action)
    return found


def all_sales(ledger: Ledger, piece_id: int) -> list[SaleRow]:
    """Every sale of a piece as the ledger holds it now."""
    with ledger.reading() as session:
        return sales_of(session, piece_id)
