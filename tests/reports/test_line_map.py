"""The map of a year's lines: its words, what of it is confirmed, and which maps are refused."""

from datetime import date

import pytest

from app.reports.formats import BadLineMap, line_map, read_tax_lines, years_listed
from app.reports.rules.sums import PeriodSums, Standing
from app.reports.rules.worksheet import Worksheet, left_out
from app.reports.rules.worksheet_words import words_of_key


@pytest.mark.parametrize("year", [*years_listed(), 2031])
def test_every_key_of_every_years_map_has_words_and_no_line_comes_after_itself(year: int) -> None:
    held = line_map(year)

    sheet = Worksheet(held, PeriodSums(date(year, 1, 1), date(year, 12, 31), {}, Standing(5, 0, 0)), (0, 0), False)

    assert sheet.lines["35"].cents == 5
    assert all(words_of_key(take.key) for line in held.lines for take in line.takes)


def test_only_what_was_read_on_official_text_is_confirmed() -> None:
    confirmed = {year: [line.number for line in line_map(year).lines if line.is_confirmed] for year in years_listed()}

    assert confirmed == {year: list("1234567") if year == 2024 else [] for year in years_listed()}
    assert line_map(2024).source
    assert line_map(2024).is_listed
    assert not line_map(2031).is_listed


def test_a_path_of_the_books_that_no_line_takes_is_found() -> None:
    paths = ["late_costs:unheard_of", "shop:rent", "cost_of_goods_sold", "stock:sold", "tax:collected", "stock:at_all"]

    assert left_out(line_map(2026), paths) == ["late_costs:unheard_of"]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ('number = "2"', "stands twice"),
        ('number = "9"', "nobody names"),
        ('part = "VI"', "part is not known"),
        ('takes = ["sales"]', "begins with"),
    ],
)
def test_a_map_that_cannot_be_right_is_refused(wrong: str, words: str) -> None:
    first = ['number = "1"', 'part = "I"', 'words = "a"', 'takes = ["+sales"]']
    kind = wrong.split(" = ", maxsplit=1)[0]
    first = [wrong if line.startswith(kind) else line for line in first]
    text = "\n".join(
        [
            *("[[lines]]", *first),
            *("[[lines]]", 'number = "2"', 'part = "I"', 'words = "b"', 'makes = ["+1"]'),
            *("[[lines]]", 'number = "31"', 'part = "II"', 'words = "c"', "[years.2026]"),
        ]
    )
    with pytest.raises(BadLineMap, match=words):
        read_tax_lines(text)
