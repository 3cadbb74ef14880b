"""Read the sales tax of a year: every row of a sale, a return, a refund and a correction that tells of it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.costs.models import Adjustment
from app.costs.rules import AdjustedPart
from app.pieces.models import Piece
from app.pieces.rules import shown_name
from app.reports.rules.sales_tax import (
    PlaceQuarter,
    TaxEntry,
    TaxSum,
    by_place_and_quarter,
    quarter_of,
    tax_sum,
    taxed_how,
)
from app.sales.models import Sale, SaleRefund, SaleReturn, TaxPlace

NO_PLACE = "No place named"
OF_A_SALE = "sale"
GIVEN_BACK: Mapping[str, Any] = {"sale_return": SaleReturn, "sale_refund": SaleRefund}
PARTS = (AdjustedPart.PRICE, AdjustedPart.DELIVERY_CHARGED, AdjustedPart.TAX, AdjustedPart.REFUND)


@dataclass(frozen=True)
class TaxYear:
    """A year's sales tax: each place in each quarter, the quarters, and the year."""

    year: int
    entries: tuple[TaxEntry, ...]
    places: tuple[PlaceQuarter, ...]
    names: dict[int, str]

    @property
    def all(self) -> TaxSum:
        """The whole year, every place."""
        return tax_sum(self.entries)

    @property
    def quarters(self) -> list[tuple[int, TaxSum, list[PlaceQuarter]]]:
        """Each quarter with anything in it: its sum, and its places."""
        found = []
        for quarter in sorted({place.quarter for place in self.places}):
            of_quarter = [place for place in self.places if place.quarter == quarter]
            held = (entry for entry in self.entries if quarter_of(entry.on) == quarter)
            found.append((quarter, tax_sum(held), of_quarter))
        return found

    def chosen(self, quarter: int | None, place_id: int | None) -> list[TaxEntry]:
        """The entries of a quarter (None: of all) and a place (None: of all; 0: those without one)."""
        return [
            entry
            for entry in self.entries
            if (quarter is None or quarter_of(entry.on) == quarter)
            and (place_id is None or (entry.place_id or 0) == place_id)
        ]

    def place_name(self, place_id: int) -> str:
        """The name of a place; 0 stands for none named."""
        return self.names.get(place_id, NO_PLACE)


def tax_year(session: Session, year: int) -> TaxYear:
    """The sales tax of a year, the oldest row first; seven queries for any number of rows."""
    names = {place.id: place.name for place in session.execute(select(TaxPlace.id, TaxPlace.name))}
    entries = sorted(
        _entries(session, date(year, 1, 1), date(year, 12, 31)), key=lambda one: (one.on, one.table, one.id)
    )
    return TaxYear(year, tuple(entries), tuple(by_place_and_quarter(entries, names, NO_PLACE)), names)


def _entries(session: Session, first: date, last: date) -> Iterator[TaxEntry]:
    amounts = (Sale.price_cents, Sale.delivery_charged_cents)
    sales = select(Sale.id, Sale.sold_on, *amounts, *_OF_SALE).join(Piece, Piece.id == Sale.piece_id)
    for sale in session.execute(sales.where(Sale.struck_at.is_(None), Sale.sold_on.between(first, last))):
        gross = sale.price_cents + sale.delivery_charged_cents
        moved = {"gross": gross, "tax": sale.tax_cents, "channel_tax": sale.channel_tax_cents}
        yield _entry(OF_A_SALE, sale.id, sale.sold_on, sale, moved)
    for table, row, day in (
        ("sale_return", SaleReturn, SaleReturn.returned_on),
        ("sale_refund", SaleRefund, SaleRefund.on_date),
    ):
        wanted = (
            select(row.id, day.label("on"), row.refund_cents, row.tax_refunded_cents, *_OF_SALE)
            .join(Sale, Sale.id == row.sale_id)
            .join(Piece, Piece.id == Sale.piece_id)
        )
        for back in session.execute(wanted.where(row.struck_at.is_(None), day.between(first, last))):
            moved = {"given_back": back.refund_cents, "tax_back": back.tax_refunded_cents}
            yield _entry(table, back.id, back.on, back, moved)
    yield from _corrections(session, first, last)


# What every entry says of its sale.
_OF_SALE: Sequence[Any] = (
    *(Sale.id.label("sale_id"), Sale.tax_place_id, Sale.tax_cents, Sale.channel_tax_cents, Sale.untaxed_reason),
    *(Piece.tag, Piece.title, Piece.form),
)


def _corrections(session: Session, first: date, last: date) -> Iterator[TaxEntry]:
    """Corrections of closed months that change price, delivery, refund or tax of a sale, on their own days."""
    # A correction names its row by table and number, so the sale behind it is found one way for each table.
    to_sale: dict[str, Any] = {
        OF_A_SALE: select(Sale.id.label("row_id"), Sale.id.label("of_sale")),
        **{table: select(row.id.label("row_id"), row.sale_id.label("of_sale")) for table, row in GIVEN_BACK.items()},
    }
    for table, wanted in to_sale.items():
        rows = wanted.subquery()
        found = (
            select(Adjustment.id, Adjustment.on_date, Adjustment.part, Adjustment.cents, *_OF_SALE)
            .join(rows, rows.c.row_id == Adjustment.corrects_id)
            .join(Sale, Sale.id == rows.c.of_sale)
            .join(Piece, Piece.id == Sale.piece_id)
            .where(Adjustment.corrects_table == table, Adjustment.part.in_(PARTS), Adjustment.struck_at.is_(None))
            .where(Adjustment.on_date.between(first, last))
        )
        for row in session.execute(found):
            yield _entry("adjustment", row.id, row.on_date, row, {_changed(table, row.part): row.cents})


def _changed(table: str, part: AdjustedPart) -> str:
    if part is AdjustedPart.TAX:
        return "tax" if table == OF_A_SALE else "tax_back"
    return "given_back" if part is AdjustedPart.REFUND else "gross"


def _entry(table: str, row_id: int, on: date, sale: Any, moved: dict[str, int]) -> TaxEntry:
    return TaxEntry(
        table=table,
        id=row_id,
        sale_id=sale.sale_id,
        tag=sale.tag,
        piece_name=shown_name(sale.title, sale.form),
        on=on,
        place_id=sale.tax_place_id,
        taxed=taxed_how(sale.tax_cents, sale.channel_tax_cents),
        reason=sale.untaxed_reason,
        **moved,
    )
