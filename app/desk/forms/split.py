"""The form for splitting a set into parts that go their own ways."""

from collections.abc import Iterable, Mapping
from typing import Any, ClassVar

from wtforms import RadioField

from app.basics.words import TITLE_LIMIT
from app.desk.forms.rows import FieldMaker, RowsForm, label
from app.desk.rules import SPLIT_BY_WORDS, SplitBy, WishedPart, WishedSplit
from app.pieces.forms.fields import NumberField
from app.web.forms import DayField, LineField, MoneyField, VersionedForm, required


def split_by_choices() -> list[tuple[str, str]]:
    """The ways to share the cost so far."""
    return [(by.value, words) for by, words in SPLIT_BY_WORDS.items()]


def as_filled_in(parts: Iterable[WishedPart]) -> dict[str, object]:
    """What the boxes hold at first."""
    rows = list(enumerate(parts, start=1))
    names = {f"part_{number}_title": part.title for number, part in rows}
    return names | {f"part_{number}_count": part.count for number, part in rows}


class SplitForm(RowsForm, VersionedForm):
    """The parts of a set: the first keeps the tag, each other one gets its own."""

    row_word = "part"
    starts_with = 2
    adds = 2
    row_fields: ClassVar[Mapping[str, FieldMaker]] = {
        "title": lambda lead: LineField(label(lead, "Name"), limit=TITLE_LIMIT),
        "count": lambda lead: NumberField(label(lead, "How many in it")),
        "worth": lambda lead: MoneyField(label(lead, "Worth, at a guess")),
    }

    split_by = RadioField(
        "Share the cost so far",
        choices=split_by_choices,
        default=SplitBy.EACH.value,
    )
    on_date = DayField("Split on", [required("Give the day you split it.")])

    def wished(self) -> WishedSplit:
        """The split as filled in, empty rows left away."""
        return WishedSplit(
            parts=tuple(self._part(number) for number in self.filled()),
            by=SplitBy(self.split_by.data),
            on_date=self.on_date.data,
            version=self.version_number,
        )

    def _part(self, number: int) -> WishedPart:
        return WishedPart(
            title=self.at(number, "title").data,
            count=self.at(number, "count").data,
            worth_cents=self.at(number, "worth").data,
        )

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: every part that is named says how many are in it."""
        is_sound = super().validate(extra_validators)
        for number in self.filled():
            count = self.at(number, "count")
            if count.data is None and not count.errors:
                count.errors = [f"Part {number}: say how many are in it."]
                is_sound = False
        return is_sound
