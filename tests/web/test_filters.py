"""How pages write the ledger's values, and that no filter of ours hides one of the template language."""

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
from flask import Flask, g
from jinja2 import Environment

from app.web.filters import counted, days_count, instant, money, short_day
from app.web.frame import Frame

HERE = Frame(today=date(2026, 11, 25), zone="America/Denver")


@pytest.fixture(autouse=True)
def _page(app: Flask) -> Iterator[None]:
    with app.test_request_context():
        g.frame = HERE
        yield


def test_no_filter_of_ours_hides_one_of_the_template_language(app: Flask) -> None:
    hidden = [
        name for name, usual in Environment(autoescape=True).filters.items() if app.jinja_env.filters[name] is not usual
    ]
    assert hidden == []


@pytest.mark.parametrize(
    ("cents", "shown"), [(123_456, "$1,234.56"), (-5, "\u2212$0.05"), (0, "$0.00"), (None, "\u2013")]
)
def test_money_has_a_real_minus_sign_and_none_is_a_dash(cents: int | None, shown: str) -> None:
    assert money(cents) == shown


def test_money_is_written_in_the_places_of_its_currency() -> None:
    g.frame = Frame(today=HERE.today, currency="JPY")
    assert money(1_234) == "\u00a51,234"
    g.frame = Frame(today=HERE.today, currency="KWD")
    assert money(-1_234).endswith("1.234")


def test_a_day_of_another_year_carries_its_year() -> None:
    assert (short_day(date(2026, 1, 5)), short_day(date(2025, 1, 5)), short_day(None)) == ("5 Jan", "5 Jan 2025", "")


def test_an_instant_is_told_by_the_clock_of_the_shop() -> None:
    assert instant(datetime(2026, 11, 25, 3, 5, tzinfo=UTC)) == "24 Nov 2026, 20:05"


def test_one_is_told_apart_from_many() -> None:
    assert [counted(number, "piece", "pieces") for number in (0, 1, 2_000)] == ["0 pieces", "1 piece", "2,000 pieces"]
    assert [days_count(number) for number in (0, 1, 1_200)] == ["0 days", "1 day", "1,200 days"]
