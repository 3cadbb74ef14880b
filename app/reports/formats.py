"""Read the map of the tax form's lines from its file, and refuse one that cannot be right."""

import tomllib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from app.reports.rules.worksheet import PART_WORDS, PROFIT_LINE, LineMap, Take, TaxLine

TAX_LINES: Final = Path(__file__).with_name("tax_lines.toml")
_SIGNS: Final = {"+": 1, "-": -1}


class BadLineMap(ValueError):
    """The file of the tax lines says something that cannot be."""


@lru_cache(maxsize=1)
def tax_lines() -> Mapping[str, Any]:
    """What the file says; read once."""
    return read_tax_lines(TAX_LINES.read_text(encoding="utf-8"))


def read_tax_lines(text: str) -> Mapping[str, Any]:
    """What a text of tax lines says.

    Refuses a line named twice or of an unknown part, one that is made of a line nobody names, a year that speaks of
    such a line, and a map without the line of the profit (BadLineMap).
    """
    held = tomllib.loads(text)
    numbers = [line["number"] for line in held["lines"]]
    spoken_of = [take[1:] for line in held["lines"] for take in line.get("makes", ())]
    for year in held["years"].values():
        spoken_of += [*year.get("confirmed", ()), *year.get("remarks", {})]
    _require(len(numbers) == len(set(numbers)), "a line stands twice")
    _require(set(spoken_of) <= set(numbers), "a line is spoken of that nobody names")
    _require(PROFIT_LINE in numbers, f"line {PROFIT_LINE} is missing")
    _require({line["part"] for line in held["lines"]} <= set(PART_WORDS), "a part is not known")
    takes = [take for line in held["lines"] for take in (*line.get("takes", ()), *line.get("makes", ()))]
    _require(all(take[:1] in _SIGNS and take[1:] for take in takes), "what a line takes begins with + or -")
    return held


def years_listed() -> list[int]:
    """The tax years the map speaks of, the oldest first."""
    return sorted(int(year) for year in tax_lines()["years"])


def line_map(year: int) -> LineMap:
    """The lines of a tax year; one that is not listed borrows them, with nothing confirmed."""
    held = tax_lines()
    of_year = held["years"].get(str(year))
    said = of_year or {}
    confirmed, remarks = frozenset(said.get("confirmed", ())), said.get("remarks", {})
    lines = tuple(
        TaxLine(
            number=line["number"],
            part=line["part"],
            words=line["words"],
            takes=_takes(line.get("takes", ())),
            makes=_takes(line.get("makes", ())),
            remark=" ".join(words for words in (line.get("remark", ""), remarks.get(line["number"], "")) if words),
            ask=line.get("ask", ""),
            is_confirmed=line["number"] in confirmed,
        )
        for line in held["lines"]
    )
    return LineMap(year, of_year is not None, said.get("source", ""), lines)


def _takes(words: Sequence[str]) -> tuple[Take, ...]:
    return tuple(Take(word[1:], _SIGNS[word[0]]) for word in words)


def _require(holds: bool, what: str) -> None:  # noqa: FBT001 - one condition and its words
    if not holds:
        raise BadLineMap(f"tax lines: {what}")
