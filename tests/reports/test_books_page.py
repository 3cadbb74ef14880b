"""The worked sums in docs/books.md are the program's own: rows and results are read from the page."""

import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from app.basics.dates import Month
from app.basics.money import half_up, split_exactly
from app.reports.rules import (
    PREMIUM,
    PRICE,
    TAX,
    PieceDays,
    PieceLedger,
    PieceProfit,
    ShopCostRow,
    Spread,
    days_to_sale,
    month_profit,
    piece_profit,
    price_parts,
    return_on_time,
    stock_movement,
)
from tests.reports.ledger_book import Book, shop_cost

PAGE = Path(__file__).parents[2] / "docs" / "books.md"
APRIL = Month(2026, 4)
COSTS = {
    "price paid": PRICE,
    "buyer's premium": PREMIUM,
    "tax on the purchase": TAX,
    "materials": "materials",
    "hardware": "hardware",
    "repair": "repair",
}
TERM = re.compile(r"[+-]|[*/]|\d+(?:\.\d+)?")


def tables() -> Iterator[tuple[list[str], list[list[str]]]]:
    """Every table of the page: its header and its rows."""
    for block in re.findall(r"(?:^\|.*\n)+", PAGE.read_text(encoding="utf-8"), re.MULTILINE):
        lines = [[cell.strip() for cell in line.strip().strip("|").split("|")] for line in block.splitlines()]
        yield lines[0], lines[2:]


def worked_sums() -> list[tuple[str, str, str]]:
    """Figure, how it is worked out, and its result, from all tables of sums."""
    return [(row[0], row[1], row[2]) for header, rows in tables() if header[0] == "Figure" for row in rows]


def cents(amount: str) -> int:
    return int(Decimal(amount) * 100)


class Example:
    """The rows of the example as the rules take them."""

    def __init__(self) -> None:
        self.books: dict[str, Book] = {}
        self.shop_costs: list[ShopCostRow] = []
        rows = next(rows for header, rows in tables() if header[0] == "Piece")
        for place, (piece, day, words, amount) in enumerate(rows):
            self.take(place, piece, date.fromisoformat(day), words, amount)

    def take(self, place: int, piece: str, on: date, words: str, amount: str) -> None:
        if piece == "Shop":
            self.shop_costs.append(shop_cost(place, on, cents(amount), words))
            return
        book = self.books.setdefault(piece, Book(piece, on, piece_id=len(self.books) + 1))
        if words in COSTS:
            book.cost(on, cents(amount), COSTS[words])
        elif words == "minutes worked":
            book.work(on, int(amount))
        elif words == "listed":
            book.list_on(on)
        elif words in {"scrapped", "kept"}:
            book.leave(on, words)
        else:
            self.sale_or_return(book, on, words, cents(amount))

    def sale_or_return(self, book: Book, on: date, words: str, amount: int) -> None:
        if words == "sold for":
            book.sell(on, amount)
        elif words == "refund":
            book.take_back(book.ledger.sales[-1], on, amount)
        elif words == "fees given back":
            book.amend_return(fees_back=amount)
        else:
            field = {
                "delivery charged": "delivery_charged",
                "delivery paid": "delivery_paid",
                "selling fees": "fees",
                "sales tax collected": "tax_collected",
            }[words]
            assert book.ledger.sales[-1].on == on
            book.amend_sale(**{field: amount})

    @property
    def ledgers(self) -> list[PieceLedger]:
        return [book.ledger for book in self.books.values()]

    def profit(self, piece: str) -> PieceProfit:
        return piece_profit(self.books[piece].ledger)


def median(*days: int) -> Fraction:
    found = Spread(tuple(PieceDays(day, str(day), "", day) for day in days), ()).median
    assert found is not None
    return found


def of_pieces(example: Example) -> dict[str, Fraction | int | None]:
    chest, nightstand = example.profit("Chest"), example.profit("Nightstand")
    sold = next(sale for sale in month_profit(example.ledgers, [], APRIL).sales if sale.tag == "Chest")
    days = days_to_sale(example.ledgers, date(2026, 4, 30))
    assert chest.return_on_cash is not None
    return {
        "Chest: put in until its sale": sold.cost_of_goods_sold,
        "Chest: all money put in": chest.money_in,
        "Chest: profit": chest.profit,
        "Chest: per hour": chest.per_hour_cents,
        "Chest: return on cash, percent": half_up(chest.return_on_cash * 100) * 100,
        "Nightstand: stands in stock again at": nightstand.put_in,
        "Nightstand: made so far": nightstand.realised,
        "Stool: profit": example.profit("Stool").profit,
        "Mirror: profit": example.profit("Mirror").profit,
        "Chest: days from finding it": days.from_sourced.sold[0].days * 100,
        "Chest: days from listing it": days.from_listed.sold[0].days * 100,
        "Median of 12, 33, 40": median(12, 33, 40) * 100,
        "Median of 12, 33, 40, 61": median(12, 33, 40, 61) * 100,
        "Three chairs: share": split_exactly(8_001, [3, 1])[0],
        "One chair: share": split_exactly(8_001, [3, 1])[1],
    }


def of_the_month(example: Example) -> dict[str, Fraction | int | None]:
    month = month_profit(example.ledgers, example.shop_costs, APRIL)
    stock = stock_movement(example.ledgers, APRIL.first, APRIL.last)
    lines = {f"April: {line.label[0].lower()}{line.label[1:]}": line.cents for line in month.lines}
    tax, kept = month.tax, month.kept
    from_cash = month.cash.net - month.shop_costs.cents - tax.cents + stock.closing - stock.opening - kept.cents
    return {
        **lines,
        "April: profit on pieces": month.profit_on_pieces,
        "April: profit on pieces, from the cash": from_cash,
        "April: shop costs": month.shop_costs.cents,
        "April: profit of the month": month.profit,
        "April: taken out by the owner, at cost": kept.cents,
        "April: sales tax collected less given back": tax.cents,
        "April: per hour": return_on_time(example.ledgers).months[0].rate.per_hour_cents,
        "April: received from buyers": month.cash.line("received").cents,
        "April: cash in minus cash out": month.cash.net,
        "April: opening stock": stock.opening,
        "April: closing stock": stock.closing,
    }


def of_the_price(example: Example) -> dict[str, Fraction | int | None]:
    parts = price_parts(example.profit("Chest"))
    assert parts is not None
    return {f"Chest: price, {part.label.lower()}": part.cents for part in parts.parts}


def reckoned(sum_in_words: str) -> Fraction:
    """What a sum of plain numbers makes, times and divisions before pluses and minuses."""
    tokens = TERM.findall(sum_in_words)
    assert "".join(tokens) == sum_in_words.replace(" ", "")
    total, product, sign, operation = Fraction(0), Fraction(1), 1, "*"
    for token in tokens:
        if token in "+-":
            total, product, sign, operation = total + sign * product, Fraction(1), 1 if token == "+" else -1, "*"
        elif token in "*/":
            operation = token
        else:
            product = product * Fraction(token) if operation == "*" else product / Fraction(token)
    return total + sign * product


@pytest.mark.parametrize(("figure", "worked_out", "result"), worked_sums(), ids=lambda words: words)
def test_a_worked_sum_is_what_the_program_says(figure: str, worked_out: str, result: str) -> None:
    example = Example()
    figures = of_pieces(example) | of_the_month(example) | of_the_price(example)

    assert figures[figure] == Fraction(result) * 100
    places = len(result.partition(".")[2])
    assert half_up(reckoned(worked_out) * 10**places) == Fraction(result) * 10**places


def test_every_line_of_the_month_that_moved_is_on_the_page() -> None:
    figures = of_the_month(Example())

    assert {name for name, value in figures.items() if value} <= {figure for figure, _, _ in worked_sums()}
