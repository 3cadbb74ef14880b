"""Lines of a report: a figure in cents and the parts it opens to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from app.reports.rules.ledger import PieceLedger, RowRef


@dataclass(frozen=True, slots=True)
class Part:
    """One entry of a line: a piece (or, without `piece_id`, a shop cost) with its rows, in signed cents."""

    piece_id: int | None
    label: str
    on: date
    cents: int
    rows: tuple[RowRef, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a report in signed cents, and the parts that add up to it."""

    key: str
    label: str
    cents: int
    parts: tuple[Part, ...]

    @property
    def rows(self) -> tuple[RowRef, ...]:
        """Every row the figure is made of."""
        return tuple(row for part in self.parts for row in part.rows)


class LineSheet:
    """Gathers parts under a fixed ladder of lines."""

    def __init__(self, labels: Mapping[str, str]) -> None:
        self._labels = labels
        self._parts: dict[str, list[Part]] = {key: [] for key in labels}

    def add(self, key: str, ledger: PieceLedger, on: date, cents: int, rows: tuple[RowRef, ...]) -> None:
        """Book signed cents of a piece on a line; nothing is booked for zero."""
        if cents:
            self._parts[key].append(Part(ledger.piece_id, ledger.tag, on, cents, rows))

    def add_part(self, key: str, part: Part) -> None:
        """Book a part as it is."""
        self._parts[key].append(part)

    def lines(self) -> tuple[Line, ...]:
        """Every line in the order of the ladder, those without parts too."""
        return tuple(line_of(key, label, self._parts[key]) for key, label in self._labels.items())


def line_of(key: str, label: str, parts: Iterable[Part]) -> Line:
    """The line its parts add up to."""
    held = tuple(parts)
    return Line(key, label, sum(part.cents for part in held), held)


def line_named(lines: Iterable[Line], key: str) -> Line:
    """The line with the key; refuses a key that is not there (KeyError)."""
    for line in lines:
        if line.key == key:
            return line
    raise KeyError(key)
