"""The years of the demo tie out: stock, pieces, months and the year itself, in SQL and by the walk."""

from collections.abc import Iterator
from datetime import date

from sqlalchemy.orm import Session

from app.basics.dates import Month, months_between
from app.reports.queries import months_of, piece_ledgers
from app.reports.queries.year_page import year_books, years_known
from app.reports.rules import period_profit, stock_at_cost
from app.reports.rules.year import OUT_OF_STOCK, YearBooks
from tests.demo.conftest import LoadedDemo
from tests.reports.sums_beside_walk import differences


def years(session: Session, demo: LoadedDemo) -> Iterator[YearBooks]:
    return (year_books(session, year) for year in years_known(session, demo.today))


def test_every_sum_of_every_year_of_the_demo_meets(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        found = list(years(session, demo))
    assert len(found) >= 3
    for books in found:
        assert [(tie.name, tie.sides) for tie in books.ties() if tie.gap] == []
    assert sum(books.sums.cents("stock:sold") for books in found) < 0
    assert any(books.sums.cents("cost_back") for books in found)


def test_opening_and_what_was_bought_less_what_went_is_the_closing_of_each_year_of_the_demo(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        ledgers = piece_ledgers(session)
        for books in years(session, demo):
            eve, last = date(books.year - 1, 12, 31), date(books.year, 12, 31)
            came = books.sums.stock_change - sum(books.sums.cents(key) for key in OUT_OF_STOCK)
            went = -sum(books.sums.cents(key) for key in OUT_OF_STOCK)
            assert stock_at_cost(ledgers, eve) + came - went == stock_at_cost(ledgers, last)


def test_the_pieces_the_months_and_the_year_of_the_demo_made_the_same(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        ledgers = piece_ledgers(session)
        for books in years(session, demo):
            months = months_of(session, months_between(Month(books.year, 1), Month(books.year, 12)))
            walked = period_profit(ledgers, (), date(books.year, 1, 1), date(books.year, 12, 31)).profit_on_pieces
            by_months = sum(month.profit_on_pieces for month in months)
            assert books.made_by_pieces == by_months == walked == books.profit_from_stock


def test_the_sums_of_the_demo_are_those_of_the_walk(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        assert differences(session) == []
