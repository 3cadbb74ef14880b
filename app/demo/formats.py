"""Read the demo's CSV files: each column by the type of its field, each error with its file, line and column."""

import csv
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields
from enum import StrEnum
from functools import partial
from io import StringIO
from pathlib import Path
from types import MappingProxyType, NoneType
from typing import TypeVar, get_args, get_type_hints

from app.basics.errors import RuleError
from app.basics.money import parse_money
from app.basics.quantities import parse_percent, parse_rate, parse_wait
from app.basics.spells import parse_clock
from app.demo.rules import CannotLoad, Cents, Day, Percent, Record, Story, require_sound_story, where
from app.demo.rules.cells import Clock, Hundredths, Quantity, Rate, Wait

R = TypeVar("R", bound=Record)

HUNDREDTHS, THOUSANDTHS = 2, 3
"""How many digits a number of such may have after its point."""

MOST_DAYS = 36_500
"""How far from the day of loading a day may lie: a hundred years."""

_YES_OR_NO: Mapping[str, bool] = MappingProxyType({"yes": True, "no": False})


def read_story(folder: Path) -> Story:
    """Every file of the folder; refuses a missing file and whatever a cell may not hold (CannotLoad)."""
    hints = get_type_hints(Story)
    story = Story(
        **{field.name: read_file(folder, field.name, get_args(hints[field.name])[0]) for field in fields(Story)}
    )
    require_sound_story(story)
    return story


def columns_of(kind: type[Record]) -> tuple[str, ...]:
    """The columns a file of such rows has, in their order."""
    return tuple(field.name for field in fields(kind) if field.name != "line")


def read_file(folder: Path, name: str, kind: type[R]) -> tuple[R, ...]:
    """The rows of one file in the order of their lines; refuses other columns and unreadable cells (CannotLoad)."""
    path = folder / f"{name}.csv"
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as trouble:
        raise CannotLoad(f"{path.name} cannot be read: {trouble}") from trouble
    # Line ends inside a quoted cell must reach the reader as they stand.
    reader = csv.reader(StringIO(text, newline=""), strict=True)
    columns = columns_of(kind)
    rows, line = [], 1
    try:
        _require_columns(name, next(reader, []), columns)
        line = reader.line_num + 1
        for cells in reader:
            if cells:
                rows.append(_record(name, line, cells, kind, columns))
            line = reader.line_num + 1
    except csv.Error as trouble:
        raise CannotLoad(f"{where(name, line)}: {trouble}") from trouble
    return tuple(rows)


def _require_columns(name: str, header: Sequence[str], columns: Sequence[str]) -> None:
    if tuple(header) != tuple(columns):
        raise CannotLoad(f"{where(name, 1)}: the columns must be {','.join(columns)}")


def _record(name: str, line: int, row: Sequence[str], kind: type[R], columns: Sequence[str]) -> R:
    if len(row) != len(columns):
        raise CannotLoad(f"{where(name, line)}: {len(row)} cells where {len(columns)} columns are.")
    hints = get_type_hints(kind)
    values: dict[str, object] = {}
    for column, cell in zip(columns, row, strict=True):
        try:
            values[column] = _value(hints[column], cell)
        except RuleError as refusal:
            raise CannotLoad(f"{where(name, line)}, column {column}: {refusal.message}") from refusal
    made: Callable[..., R] = kind
    return made(line=line, **values)


def _value(kind: object, cell: str) -> object:
    given = [one for one in get_args(kind) if one is not NoneType]
    if NoneType in get_args(kind):
        return _value(given[0], cell) if cell else None
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return _word(kind, cell)
    return _READERS[kind](cell)


def _word(kind: type[StrEnum], cell: str) -> StrEnum:
    try:
        return kind(cell)
    except ValueError as unknown:
        raise RuleError(f"{cell!r} is none of {', '.join(kind)}.") from unknown


def _whole(cell: str) -> int:
    digits = cell.removeprefix("-")
    if not (digits.isascii() and digits.isdigit()):
        raise RuleError(f"{cell!r} is no whole number.")
    return int(cell)


def _day(cell: str) -> int:
    day = _whole(cell)
    if abs(day) > MOST_DAYS:
        raise RuleError(f"{day} days lie too far off; at most {MOST_DAYS} can be told.")
    return day


def _yes_or_no(cell: str) -> bool:
    if cell not in _YES_OR_NO:
        raise RuleError(f"{cell!r} is neither yes nor no.")
    return _YES_OR_NO[cell]


def _amount(cell: str) -> int:
    return parse_money(cell) if cell else 0


def _decimal(cell: str, *, places: int) -> int:
    whole, _, part = cell.partition(".")
    if not (cell.isascii() and (whole + part).isdigit()) or len(part) > places:
        raise RuleError(f"{cell!r} is no number with at most {places} digits after the point.")
    return int((whole or "0") + part.ljust(places, "0"))


def _words_between_semicolons(cell: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in cell.split(";") if word.strip())


_READERS: Mapping[object, Callable[[str], object]] = MappingProxyType(
    {
        str: str,
        int: _whole,
        bool: _yes_or_no,
        Cents: _amount,
        Percent: parse_percent,
        Rate: parse_rate,
        Hundredths: partial(_decimal, places=HUNDREDTHS),
        Quantity: partial(_decimal, places=THOUSANDTHS),
        Wait: parse_wait,
        Clock: parse_clock,
        Day: _day,
        tuple[str, ...]: _words_between_semicolons,
    }
)
