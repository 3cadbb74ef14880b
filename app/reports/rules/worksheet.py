"""The tax-year worksheet: lines of a form filled from the books' sums, and how its profit meets that of the books."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from app.reports.rules.sums import PIECE_LINES, SHOP, STOCK_KEYS, PeriodSums, is_part_of

STOCK_AT_START: Final = "stock:at_start"
STOCK_AT_END: Final = "stock:at_end"
WRITTEN_AT_START: Final = "written_down:at_start"
WRITTEN_AT_END: Final = "written_down:at_end"
STANDING: Final = (STOCK_AT_START, STOCK_AT_END, WRITTEN_AT_START, WRITTEN_AT_END)
"""What stands at the start and at the end of a year, beside what is booked in it."""

PROFIT_LINE: Final = "31"
OPENING_LINE: Final = "35"
CLOSING_LINE: Final = "41"
PART_WORDS: Final[Mapping[str, str]] = {
    "I": "Income",
    "II": "Expenses",
    "III": "Cost of goods sold",
    "V": "Other expenses",
}

# What a piece cost is told on the form by stock and purchases, so the books' own line for it is on no line there.
TOLD_BY_STOCK: Final = ("cost_of_goods_sold", "cost_back", "given_away", "scrapped")
_OUT_AND_BACK: Final = ("stock:sold", "stock:returned", "stock:kept", "stock:given_away", "stock:scrapped")


@dataclass(frozen=True, slots=True)
class Take:
    """A key of the books' sums, or another line, that a line takes in: as it is (1) or the other way round (-1)."""

    key: str
    sign: int


@dataclass(frozen=True, slots=True)
class TaxLine:
    """One line of the form: what it takes from the books, or which other lines make it.

    `ask` is what to ask whoever does the taxes.
    """

    number: str
    part: str
    words: str
    takes: tuple[Take, ...]
    makes: tuple[Take, ...]
    remark: str
    ask: str
    is_confirmed: bool

    @property
    def is_fed(self) -> bool:
        """Whether the books or other lines have anything to say on it."""
        return bool(self.takes or self.makes)


@dataclass(frozen=True, slots=True)
class LineMap:
    """The lines of a tax year. Those that are not confirmed are to be checked on the form; `source` confirmed the rest.

    `is_listed` says whether the year stands in the map at all; one that does not borrows the lines of the others.
    """

    year: int
    is_listed: bool
    source: str
    lines: tuple[TaxLine, ...]

    def line(self, number: str) -> TaxLine | None:
        """A line by its number, or None."""
        return next((line for line in self.lines if line.number == number), None)


@dataclass(frozen=True, slots=True)
class FilledPart:
    """What one key brings to a line, in cents, signed as on the form."""

    take: Take
    cents: int


@dataclass(frozen=True, slots=True)
class FilledLine:
    """A line with its amount in cents and the parts that make it."""

    line: TaxLine
    cents: int
    parts: tuple[FilledPart, ...]


@dataclass(frozen=True)
class Worksheet:
    """The form of a year filled from the books.

    `written` holds what the stock was written down by when the year began and when it ended; it is in the lines only
    where `is_lower` was chosen.
    """

    map: LineMap
    sums: PeriodSums
    written: tuple[int, int]
    is_lower: bool

    @cached_property
    def lines(self) -> dict[str, FilledLine]:
        """Every line by its number, in the order of the form."""
        known = {line.number: line for line in self.map.lines}
        filled: dict[str, FilledLine] = {}
        for number in known:
            self._fill(number, known, filled)
        return {number: filled[number] for number in known}

    @property
    def profit(self) -> int:
        """The profit or loss of the form, in cents."""
        return self.lines[PROFIT_LINE].cents

    @property
    def difference(self) -> int:
        """What the profit of the form is above that of the books (below zero: under it)."""
        return self.profit - self.sums.profit

    @property
    def by_write_downs(self) -> int:
        """What of the difference comes from valuing the stock lower: the rise of write-downs lowers the profit."""
        return self.written[0] - self.written[1] if self.is_lower else 0

    @property
    def unexplained(self) -> int:
        """What is left of the difference: anything but 0 is a fault."""
        return self.difference - self.by_write_downs

    def amount(self, key: str) -> int:
        """Cents under a key of the books, as they are signed there."""
        at_start, at_end = self.written if self.is_lower else (0, 0)
        standing = {
            STOCK_AT_START: self.sums.opening_stock,
            STOCK_AT_END: self.sums.closing_stock,
            WRITTEN_AT_START: at_start,
            WRITTEN_AT_END: at_end,
        }
        return standing[key] if key in standing else self.sums.cents(key)

    def _fill(self, number: str, known: Mapping[str, TaxLine], filled: dict[str, FilledLine]) -> int:
        if number not in filled:
            line = known[number]
            parts = [FilledPart(take, take.sign * self.amount(take.key)) for take in line.takes]
            parts += [FilledPart(take, take.sign * self._fill(take.key, known, filled)) for take in line.makes]
            filled[number] = FilledLine(line, sum(part.cents for part in parts), tuple(parts))
        return filled[number].cents


def left_out(line_map: LineMap, paths: Iterable[str]) -> list[str]:
    """Which of the books' paths make the profit or the cost of the stock and are on no line, or on more than one.

    Every amount of the profit must reach the form once: by its own line, or through the stock.
    """
    taken = [take.key for line in line_map.lines for take in line.takes]
    return [
        path
        for path in paths
        if any(is_part_of(path, key) for key in _to_place()) and sum(is_part_of(path, key) for key in taken) != 1
    ]


def _to_place() -> list[str]:
    profit = [key for key in (*PIECE_LINES, SHOP) if key not in TOLD_BY_STOCK]
    stock = [key for key in STOCK_KEYS if key not in (*_OUT_AND_BACK, "stock:brought_back")]
    return [*profit, *stock, "kept"]
