"""The ratios of a year as they are read and shown: what they come from, and what they say without any."""

from datetime import date
from fractions import Fraction
from functools import partial

from sqlalchemy.orm import Session

from app.database.unit_of_work import Ledger
from app.reports.queries.ratios import figures_of_year
from app.reports.rules.ratios import ratios_of
from tests.builders.reports import a_round, came_back, found, sold
from tests.examining_client import ExaminingClient
from tests.reports.counting import a_shop_of, queries_of

TODAY = date(2026, 11, 25)


def test_a_year_is_read_from_its_pieces_and_month_ends(session: Session) -> None:
    a_round(session, "Oak chest", date(2025, 12, 3), date(2026, 2, 10))
    found(session, date(2026, 2, 12), 30_00, "Pine bench")
    back = found(session, date(2026, 3, 1), 10_00, "Stool")
    came_back(session, sold(session, back, date(2026, 3, 5), 20_00), date(2026, 3, 6), 20_00)

    figures = figures_of_year(session, 2026, TODAY)

    assert (figures.net_receipts, figures.cost_of_goods_sold) == (200_00, 52_50)
    assert figures.levels == (52_50, 52_50, 30_00, *[40_00] * 9)
    assert (figures.here_at_start, figures.came, figures.sold) == (1, 2, 1)
    assert (figures.put_in, figures.made) == (52_50, 141_50)
    assert figures.days == 329
    assert ratios_of(figures).sell_through == Fraction(1, 3)


def test_what_comes_back_later_leaves_an_earlier_year_alone_and_comes_anew(session: Session) -> None:
    piece = found(session, date(2024, 11, 3), 30_00, "Pine bench")
    came_back(session, sold(session, piece, date(2025, 6, 5), 80_00), date(2026, 1, 6), 80_00)
    sold(session, piece, date(2026, 2, 1), 70_00)

    counts = {year: figures_of_year(session, year, TODAY) for year in (2025, 2026)}

    assert [(one.here_at_start, one.came, one.sold) for one in counts.values()] == [(1, 0, 1), (0, 1, 1)]


def test_last_year_ends_with_its_december(session: Session) -> None:
    a_round(session, "Oak chest", date(2025, 12, 3), date(2026, 2, 10))
    figures = figures_of_year(session, 2025, TODAY)
    assert figures.last == date(2025, 12, 31)
    assert figures.levels == (*[0] * 12, 52_50)
    assert ratios_of(figures).margin is None


def test_the_page_shows_each_ratio_with_its_sum_and_definition(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        a_round(session, "Oak chest", date(2026, 1, 3), date(2026, 2, 10))
    text = client.get("/books/ratios").text
    for words in ("Sell-through", "100.0 %", "1 sold / (0 here at the start + 1 come)", "$147.50 / $200.00", "73.8 %"):
        assert words in text
    assert "not enough yet" in text
    assert "Margin,73.8 %" in client.get("/books/ratios.csv").text


def test_a_year_with_nothing_says_so(client: ExaminingClient) -> None:
    assert "Nothing was in stock or sold in 2026" in client.get("/books/ratios").text


def test_a_year_to_come_or_no_year_is_not_there(client: ExaminingClient) -> None:
    for words in ("2027", "1800", "abcd", "-200", "20260"):
        client.get(f"/books/ratios?year={words}", status=404)


def test_the_queries_do_not_grow_with_the_pieces(session: Session) -> None:
    a_shop_of(session, 3)
    few = queries_of(session, partial(figures_of_year, session, 2026, TODAY))
    a_shop_of(session, 12)
    assert queries_of(session, partial(figures_of_year, session, 2026, TODAY)) == few
