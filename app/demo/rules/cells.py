"""What a cell of the demo's files may hold, and the row all others are."""

from dataclasses import dataclass
from typing import NewType

from app.basics.errors import RuleError

Cents = NewType("Cents", int)
"""An amount of money, written like 12.50 in a file; an empty cell is nothing."""

Percent = NewType("Percent", int)
"""Hundredths of a percent, written like 9.5 in a file."""

Day = NewType("Day", int)
"""Days before the day of loading: 0 is that day, 30 a month earlier, -4 four days ahead."""

Quantity = NewType("Quantity", int)
"""Thousandths of a material's unit, written like 250 or 0.5 in a file."""

Hundredths = NewType("Hundredths", int)
"""Hundredths of something, written like 9.5 in a file."""

Wait = NewType("Wait", int)
"""Minutes that something takes, dries or lies back, written like 4 h or 3 days in a file."""

Clock = NewType("Clock", int)
"""A time of day in minutes after midnight, written like 11:00 in a file."""

Rate = NewType("Rate", int)
"""A rate of sales tax in millionths, written like 5.5 in a file."""


class CannotLoad(RuleError):
    """A demo file holds something that cannot be read or entered; the message names the file and the line."""


@dataclass(frozen=True, slots=True)
class Record:
    """One row of a file and the line it stands on; its other fields are the file's columns, in their order."""

    line: int
