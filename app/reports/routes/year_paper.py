"""A year on paper: its sections, the sums that must meet, and its months."""

from collections.abc import Iterator

from flask.typing import ResponseReturnValue

from app.basics.paper import Block, Column, Heading, Ladder, Note, Rung, RungKind, Table
from app.reports.routes.blueprint import bp
from app.reports.routes.years import asked_year_sheet
from app.reports.rules.year import YearBooks
from app.web.filters import day
from app.web.filters import month as month_words
from app.web.frame import frame
from app.web.takeaway import paper_money, pdf_answer

TIE_COLUMNS = (Column("Figure"), Column("How"), Column("Amount", is_number=True), Column("Meets?"))
MONTH_COLUMNS = (
    Column("Month"),
    Column("Profit on pieces", is_number=True),
    Column("Shop costs", is_number=True),
    Column("Profit", is_number=True),
    Column("Stock at the end", is_number=True),
)


@bp.get("/books/years/<int:year>.pdf")
def year_pdf(year: int) -> ResponseReturnValue:
    books = asked_year_sheet(year).books
    return pdf_answer(f"year-{year}.pdf", str(year), _period(books), _blocks(books))


def _period(books: YearBooks) -> str:
    today = frame().today
    runs = books.sums.first <= today < books.sums.last
    return f"{day(books.sums.first)} to {day(today if runs else books.sums.last)}{', so far' if runs else ''}"


def _blocks(books: YearBooks) -> Iterator[Block]:
    if books.is_empty:
        yield Note(f"Nothing is booked in {books.year}.")
        return
    for section in books.sections():
        yield Heading(section.title)
        yield Ladder([Rung(line.label, paper_money(line.cents), RungKind(line.kind)) for line in section.lines])
        yield Note(section.words)
    yield Heading("Month by month")
    yield _months(books)
    yield Heading("Do the sums meet?")
    yield _ties(books)


def _months(books: YearBooks) -> Table:
    booked = [(month_words(month), sums) for month, sums in books.months if sums.amounts]
    rows = [*booked, (f"All of {books.year}", books.sums)]
    cells = [
        (words, *map(paper_money, (s.profit_on_pieces, s.cents("shop"), s.profit, s.closing.stock)))
        for words, s in rows
    ]
    return Table(MONTH_COLUMNS, cells[:-1], foot=cells[-1])


def _ties(books: YearBooks) -> Table:
    rows = []
    for tie in books.ties():
        verdict = f"differs by {paper_money(tie.gap)}" if tie.gap else "meets"
        for place, (words, cents) in enumerate(tie.sides):
            rows.append(("" if place else tie.name, words, paper_money(cents), "" if place else verdict))
    return Table(TIE_COLUMNS, rows)
