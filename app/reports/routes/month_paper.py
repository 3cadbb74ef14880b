"""A month on paper: its ladder, the shop's costs, what stands beside it, its cash and its sales."""

from collections.abc import Collection, Iterable, Iterator

from flask.typing import ResponseReturnValue

from app.basics.paper import Block, Column, Heading, Ladder, Note, Rung, RungKind, Table
from app.reports.queries import MonthSheet, SoldRow
from app.reports.routes.asked import asked_month_sheet
from app.reports.routes.blueprint import bp
from app.reports.routes.months import ALWAYS_SHOWN
from app.reports.rules import Line
from app.web.filters import counted, day
from app.web.filters import month as month_words
from app.web.frame import frame
from app.web.takeaway import paper_money, pdf_answer

SOLD_COLUMNS = (
    Column("Sold on"),
    Column("Tag"),
    Column("Piece"),
    Column("Price and delivery", is_number=True),
    Column("Cost", is_number=True),
    Column("Fees and delivery paid", is_number=True),
    Column("Profit", is_number=True),
)
COST_COLUMNS = (Column("Date"), Column("What"), Column("Amount", is_number=True))


@bp.get("/books/months/<month>.pdf")
def month_pdf(month: str) -> ResponseReturnValue:
    sheet = asked_month_sheet(month)
    return pdf_answer(f"month-{sheet.month}.pdf", month_words(sheet.month), _period(sheet), _blocks(sheet))


def rungs_on_paper(lines: Iterable[Line], always: Collection[str] = ()) -> Iterator[Rung]:
    """The lines that have something booked on them, and those that are always shown."""
    for line in lines:
        if line.parts or line.key in always:
            yield Rung(line.label, paper_money(line.cents))


def _period(sheet: MonthSheet) -> str:
    runs = sheet.month.contains(frame().today) and sheet.month.last != frame().today
    last = frame().today if runs else sheet.month.last
    return f"{day(sheet.month.first)} to {day(last)}{', so far' if runs else ''}"


def _blocks(sheet: MonthSheet) -> Iterator[Block]:
    if sheet.is_empty:
        yield Note(f"Nothing is booked in {month_words(sheet.month)}.")
        return
    profit = sheet.profit
    yield Heading("Profit")
    yield Ladder(
        [
            *rungs_on_paper(profit.lines, ALWAYS_SHOWN),
            Rung("Profit on pieces", paper_money(profit.profit_on_pieces), RungKind.SUM),
            *rungs_on_paper([profit.shop_costs], ("shop_costs",)),
            Rung(f"Profit of {month_words(sheet.month)}", paper_money(profit.profit), RungKind.TOTAL),
        ]
    )
    beside = [*rungs_on_paper([profit.kept, profit.tax])]
    if beside:
        yield Heading("Beside the profit")
        yield Ladder(beside)
        yield Note("No part of it: what you kept is taken out at cost, and sales tax is passed on.")
    yield Heading("Cash")
    net = Rung("Cash in minus cash out", paper_money(profit.cash.net), RungKind.TOTAL)
    yield Ladder([*rungs_on_paper(profit.cash.lines, ("received",)), net])
    yield from _shop_costs(profit.shop_costs)
    yield from _sold(sheet)


def _shop_costs(line: Line) -> Iterator[Block]:
    if line.parts:
        parts = sorted(line.parts, key=lambda part: part.on)
        yield Heading("Shop costs")
        yield Table(
            COST_COLUMNS,
            [(day(part.on), part.label, paper_money(part.cents)) for part in parts],
            foot=("Together", "", paper_money(line.cents)),
        )


def _sold(sheet: MonthSheet) -> Iterator[Block]:
    if not sheet.sold:
        yield Note(f"Nothing sold in {month_words(sheet.month)}.")
        return
    yield Heading(f"Sold in {month_words(sheet.month)}")
    amounts = [_amounts(row) for row in sheet.sold]
    sums = (paper_money(sum(of_column)) for of_column in zip(*amounts, strict=True))
    yield Table(
        SOLD_COLUMNS,
        [
            (day(row.sale.on), row.sale.tag, _name(row), *(paper_money(cents) for cents in cells))
            for row, cells in zip(sheet.sold, amounts, strict=True)
        ],
        foot=(counted(len(amounts), "sale", "sales"), "", "", *sums),
    )
    yield Note(
        "Each sale with what it brought on its day; trips, refunds and costs dated later are in the profit only."
    )


def _name(row: SoldRow) -> str:
    return f"{row.sale.title} (came back)" if row.sale.came_back else row.sale.title


def _amounts(row: SoldRow) -> tuple[int, int, int, int]:
    sale = row.sale
    return sale.revenue, -sale.cost_of_goods_sold, -sale.fees - sale.delivery_paid, sale.profit
