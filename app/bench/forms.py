"""Forms of the bench: the usual hours and the workshop, what a piece brings, and the hours to plan."""

from collections.abc import Sequence
from datetime import date
from typing import Any, Self

from wtforms.widgets import TimeInput

from app.basics.errors import RuleError
from app.basics.spells import DAY, Spell, clock_words, parse_clock, parse_spells, spells_in_words
from app.shop.rules import WEEKDAYS, day_field
from app.web.answers import AnswersForm
from app.web.forms import DayField, MoneyField, ReadField, VersionedForm, WaitField, required

MOST_DIGITS = 6
LONGEST_WEEKDAY = 400


class SpellsField(ReadField):
    """The spells of one day; data is a list of them, an empty one where nothing is typed."""

    def read(self, text: str) -> list[Spell]:
        """Spells with commas between them."""
        if len(text) > LONGEST_WEEKDAY:
            raise RuleError("That is too much for one day.")
        return parse_spells(text)

    def plain(self, value: list[Spell]) -> str:
        """The spells as they are typed."""
        return spells_in_words(value)

    def process_formdata(self, valuelist: list[str]) -> None:
        """As the base does, with no spells for an empty box."""
        super().process_formdata(valuelist)
        self.data = self.data or []


class NumberField(ReadField):
    """A whole number of things."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        kwargs.setdefault("render_kw", {"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> int:
        """Digits alone."""
        bare = text.strip()
        if not (bare.isascii() and bare.isdigit() and len(bare) <= MOST_DIGITS):
            raise RuleError("Type a whole number, like 4.")
        return int(bare)

    def plain(self, value: int) -> str:
        """Digits."""
        return str(value)


class ClockField(ReadField):
    """A time of day; data is minutes from midnight."""

    widget = TimeInput()

    def read(self, text: str) -> int:
        """A time like 19:00."""
        return parse_clock(text)

    def plain(self, value: int) -> str:
        """The form a box for a time wants."""
        return clock_words(value % DAY)


class HoursForm(VersionedForm):
    """The spells of the week, and what the workshop has; its version is that of the workshop."""

    day_0 = SpellsField(WEEKDAYS[0])
    day_1 = SpellsField(WEEKDAYS[1])
    day_2 = SpellsField(WEEKDAYS[2])
    day_3 = SpellsField(WEEKDAYS[3])
    day_4 = SpellsField(WEEKDAYS[4])
    day_5 = SpellsField(WEEKDAYS[5])
    day_6 = SpellsField(WEEKDAYS[6])
    drying_places = NumberField("Places to dry", [required("Say how many pieces or parts can dry at once.")])
    spray_clear = WaitField(
        "The spray corner stays taken after a coat for", [required("Say for how many minutes; 0 where it never is.")]
    )

    @property
    def days(self) -> list[list[Spell]]:
        """The spells of each day, Monday first."""
        return [field.data or [] for field in self.day_fields]

    @property
    def day_fields(self) -> list[Any]:
        """The boxes of the week."""
        return [self[day_field(weekday)] for weekday in range(len(WEEKDAYS))]


def typed_days(days: Sequence[list[Spell]]) -> dict[str, list[Spell]]:
    """The spells of each day under the name of its box."""
    return {day_field(weekday): spells for weekday, spells in enumerate(days)}


class BringsForm(VersionedForm):
    """What a piece is going to bring."""

    brings = MoneyField("It will bring")


class PlanForm(AnswersForm):
    """The hours to plan; sent by GET, so nothing is saved by it."""

    day = DayField("Day")
    begin = ClockField("From", [required("Say from when.")], name="from")
    until = ClockField("To", [required("Say until when.")], name="to")

    def on_day(self, today: date) -> Self:
        """The same with `today` as its day where none was said."""
        if self.day.data is None and not self.day.process_errors:
            self.day.data, self.day.raw_data = today, None
        return self

    @property
    def asked(self) -> tuple[date, Spell]:
        """The day and its spell as filled in."""
        return self.day.data, Spell(self.begin.data % DAY, self.until.data or DAY)
