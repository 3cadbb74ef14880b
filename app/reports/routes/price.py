"""The page of prices: where the money went that each sold piece brought."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.reports.queries import SoldPrice, sold_count, sold_prices
from app.reports.routes.blueprint import bp
from app.reports.rules import LEFT, PART_WORDS, PriceParts
from app.web.charts import Share, Stack, Whole, stacks
from app.web.filters import money
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.takeaway import csv_answer

PRICE_HEADER = ("Tag", "Piece", "Sold on", "Sale price", *PART_WORDS.values())
PAGE_SIZE = 20


@dataclass(frozen=True)
class PriceBar:
    """A price with its drawn parts, None where nothing was paid, and the words that stand in for the drawing."""

    parts: PriceParts
    stack: Stack | None
    told: str


@bp.get("/books/price")
def price() -> ResponseReturnValue:
    with ledger().reading() as session:
        page = page_of(sold_count(session), "reports.price", size=PAGE_SIZE)
        rows = sold_prices(session, page.offset, PAGE_SIZE)
    bars = price_bars([row.parts for row in rows])
    return render_template("reports/price.html", rows=list(zip(rows, bars, strict=True)), page=page, words=PART_WORDS)


@bp.get("/books/price.csv")
def price_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = sold_prices(session)
    return csv_answer("where-the-price-went.csv", PRICE_HEADER, _price_cells(rows, frame().places))


def price_bars(prices: Sequence[PriceParts]) -> list[PriceBar]:
    """Each price as a bar, all of one scale."""
    drawn = stacks([_whole(price) for price in prices])
    return [PriceBar(price, stack, _told(price)) for price, stack in zip(prices, drawn, strict=True)]


def _whole(price: PriceParts) -> Whole:
    shares = [Share(part.key, part.label, part.cents, money(part.cents)) for part in price.parts]
    return Whole(price.price, shares, missing=max(-price.left, 0))


def _told(price: PriceParts) -> str:
    paid = [f"{part.label.lower()} {money(part.cents)}" for part in price.parts if part.cents and part.key != LEFT]
    ends = f"left {money(price.left)}" if price.left >= 0 else f"{money(-price.left)} more than it brought"
    return f"Of {money(price.price)}: {', '.join([*paid, ends])}."


def _price_cells(rows: Sequence[SoldPrice], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        amounts = (row.parts.price, *(part.cents for part in row.parts.parts))
        yield row.parts.tag, row.parts.title, row.sold_on, *(Cents(cents, places) for cents in amounts)
