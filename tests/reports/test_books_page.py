"""The worked sums in docs/books.md are the program's own: rows and results are read from the page."""

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from app.basics.dates import Month
from app.basics.money import half_up, split_exactly
from app.reports.rules import (
    ADJUSTED,
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
    net_realisable,
    piece_profit,
    price_parts,
    prove,
    return_on_time,
    stock_movement,
    write_down_needed,
)
from app.reports.rules.writing_down import change_needed
from tests.reports.ledger_book import Beside, Book, refund, shop_cost

PAGE = Path(__file__).parents[2] / "docs" / "books.md"
MARCH, APRIL = Month(2026, 3), Month(2026, 4)
COSTS = {
    "price paid": PRICE,
    "buyer's premium": PREMIUM,
    "tax on the purchase": TAX,
    "materials": "materials",
    "hardware": "hardware",
    "repair": "repair",
}
BESIDE: dict[str, Callable[[Beside, Book, date, int], object]] = {
    "used from the shelf": Beside.use,
    "trip at the rate": Beside.drive,
    "tolls": lambda beside, book, on, amount: beside.drive(book, on, 0, tolls=amount),
    "deposit taken": Beside.take_deposit,
    "deposit kept": lambda beside, book, on, amount: beside.end_deposit(book, on, amount, is_kept=True),
    "deposit given back": lambda beside, book, on, amount: beside.end_deposit(book, on, amount, is_kept=False),
    "cost corrected": lambda _, book, on, amount: book.cost(on, amount, ADJUSTED),
    "refunded in part": lambda _, book, on, amount: refund(book, on, amount),
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
        self.rent: list[ShopCostRow] = []
        self.beside = Beside()
        rows = next(rows for header, rows in tables() if header[0] == "Piece")
        for place, (piece, day, words, amount) in enumerate(rows):
            self.take(place, piece, date.fromisoformat(day), words, amount)

    def take(self, place: int, piece: str, on: date, words: str, amount: str) -> None:
        if piece == "Shop":
            self.of_the_shop(place, on, words, cents(amount))
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
        elif words in BESIDE:
            BESIDE[words](self.beside, book, on, cents(amount))
        else:
            self.sale_or_return(book, on, words, cents(amount))

    def of_the_shop(self, place: int, on: date, words: str, amount: int) -> None:
        if words == "bought for the shelf":
            self.beside.buy(on, amount)
        elif words == "used from the shelf":
            self.beside.use(None, on, amount)
        else:
            self.rent.append(shop_cost(place, on, amount, words))

    @property
    def shop_costs(self) -> list[ShopCostRow]:
        return [*self.rent, *self.beside.shop_costs]

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


def days_of(tag: str, spread: Spread) -> int:
    return next(piece.days for piece in spread.sold if piece.tag == tag)


def up_to(days: Mapping[date, int], last: date) -> int:
    return sum(amount for on, amount in days.items() if on <= last)


def of_pieces(example: Example) -> dict[str, Fraction | int | None]:
    chest, nightstand = example.profit("Chest"), example.profit("Nightstand")
    sold = {sale.tag: sale for sale in month_profit(example.ledgers, [], APRIL).sales}
    days = days_to_sale(example.ledgers, date(2026, 4, 30))
    assert chest.return_on_cash is not None
    return {
        "Chest: put in until its sale": sold["Chest"].cost_of_goods_sold,
        "Desk: put in until its sale": sold["Desk"].cost_of_goods_sold,
        "Desk: profit": example.profit("Desk").profit,
        "Chest: all money put in": chest.money_in,
        "Chest: profit": chest.profit,
        "Chest: per hour": chest.per_hour_cents,
        "Chest: return on cash, percent": half_up(chest.return_on_cash * 100) * 100,
        "Nightstand: stands in stock again at": nightstand.put_in,
        "Nightstand: made so far": nightstand.realised,
        "Stool: profit": example.profit("Stool").profit,
        "Mirror: profit": example.profit("Mirror").profit,
        "Chest: days from finding it": days_of("Chest", days.from_sourced) * 100,
        "Chest: days from listing it": days_of("Chest", days.from_listed) * 100,
        "Median of 12, 33, 40": median(12, 33, 40) * 100,
        "Median of 12, 33, 40, 61": median(12, 33, 40, 61) * 100,
        "Three chairs: share": split_exactly(8_001, [3, 1])[0],
        "One chair: share": split_exactly(8_001, [3, 1])[1],
    }


def of_the_month(example: Example) -> dict[str, Fraction | int | None]:
    month = month_profit(example.ledgers, example.shop_costs, APRIL)
    stock = stock_movement(example.ledgers, APRIL.first, APRIL.last)
    lines = {f"April: {line.label[0].lower()}{line.label[1:]}": line.cents for line in month.lines}
    tax, kept, tables = month.tax, month.kept, example.beside.tables
    shelf = [up_to(tables.shelf, last) for last in (MARCH.last, APRIL.last)]
    owed = [up_to(tables.deposits, last) for last in (MARCH.last, APRIL.last)]
    unpaid = up_to(tables.unpaid, APRIL.last) - up_to(tables.unpaid, MARCH.last)
    held = stock.closing - stock.opening + shelf[1] - shelf[0] - (owed[1] - owed[0])
    from_cash = month.cash.net - tax.cents + held - kept.cents - unpaid
    return {
        **lines,
        "April: profit on pieces": month.profit_on_pieces,
        "April: profit of the month, from the cash": from_cash,
        "April: cash of deposits": month.cash.line("deposits").cents,
        "April: cash of trips": month.cash.line("trips").cents,
        "April: cash of corrections": month.cash.line("corrections").cents,
        "April: shelf at its start": shelf[0],
        "April: shelf at its end": shelf[1],
        "April: deposits owed at its end": owed[1],
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


def of_the_taxes(example: Example) -> dict[str, Fraction | int | None]:
    month = month_profit(example.ledgers, example.shop_costs, APRIL)
    stock = stock_movement(example.ledgers, APRIL.first, APRIL.last)
    spent = [cost.cents for ledger in example.ledgers for cost in ledger.costs if APRIL.contains(cost.on)]
    by_pieces = ("cost_of_goods_sold", "cost_back", "late_costs", "scrapped", "given_away")
    return {
        "A table that cost 110.00: it will bring": net_realisable(70_00, 20_00),
        "That table: written down": write_down_needed(110_00, 50_00),
        "Later it will bring 95.00: written back up": -change_needed(110_00, 95_00, 60_00),
        "April: cost of goods sold by stock and purchases": stock.opening
        + sum(spent)
        + month.kept.cents
        - stock.closing,
        "April: the same by pieces": -sum(month.line(key).cents for key in by_pieces),
    }


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
    figures = of_pieces(example) | of_the_month(example) | of_the_price(example) | of_the_taxes(example)

    assert figures[figure] == Fraction(result) * 100
    places = len(result.partition(".")[2])
    assert half_up(reckoned(worked_out) * 10**places) == Fraction(result) * 10**places


def test_every_line_of_the_month_that_moved_is_on_the_page() -> None:
    figures = of_the_month(Example())

    assert {name for name, value in figures.items() if value} <= {figure for figure, _, _ in worked_sums()}


def test_the_books_of_the_example_are_proven() -> None:
    example = Example()

    findings = prove(example.ledgers, example.shop_costs, MARCH, APRIL, example.beside.tables)

    assert [finding for finding in findings if not finding.holds] == []
