"""Forms that take several short rows at once: a haul, what is owned already, the parts of a set."""

from collections.abc import Callable, Mapping
from typing import Any, ClassVar, TypeVar

from flask import request
from markupsafe import Markup, escape
from wtforms import Field, HiddenField

from app.pieces.rules import FORM_WORDS
from app.web.forms import Form, ReadField

MOST_ROWS = 60
MOST_DIGITS = 6

FieldMaker = Callable[[str], Any]
F = TypeVar("F", bound="RowsForm")


class RowsForm(Form):
    """A form with `row_count` rows; the fields of row 2 are called piece_2_title and so on.

    Rows left empty are passed over. `starts_with` rows are shown at first and `adds` more with each wish for
    more, which `wishes_more` tells.
    """

    row_word: ClassVar[str] = "piece"
    row_fields: ClassVar[Mapping[str, FieldMaker]] = {}
    starts_with: ClassVar[int] = 6
    adds: ClassVar[int] = 6

    row_count = HiddenField()

    @property
    def numbers(self) -> range:
        """The numbers of the rows, from 1."""
        return range(1, self.rows_shown + 1)

    @property
    def rows_shown(self) -> int:
        """How many rows this form has."""
        return sum(name.endswith(f"_{next(iter(self.row_fields))}") for name in self._fields)

    def at(self, number: int, part: str) -> Field:
        """One field of one row."""
        return self[f"{self.row_word}_{number}_{part}"]

    def is_blank(self, number: int) -> bool:
        """Whether nothing at all was put into a row by hand."""
        return not any(self._was_filled(self.at(number, part)) for part in self.row_fields)

    def filled(self) -> list[int]:
        """The numbers of the rows that hold something."""
        return [number for number in self.numbers if not self.is_blank(number)]

    def _was_filled(self, field: Field) -> bool:
        if isinstance(field, ReadField):
            return bool(field.raw_data and str(field.raw_data[0]).strip())
        return bool(field.data)

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; what is wrong in a row says in which."""
        is_sound = bool(super().validate(extra_validators))
        for number in self.numbers:
            for part in self.row_fields:
                field = self.at(number, part)
                field.errors = [f"{self.row_word.capitalize()} {number}: {line}" for line in field.errors]
        return is_sound


def wishes_more() -> bool:
    """Whether the button for more rows was pressed instead of the one that saves."""
    return request.method == "POST" and bool(request.form.get("more_rows"))


def rows_from_request(form_class: type[F], *, least: int | None = None, **given: Any) -> F:
    """The form with as many rows as were posted, or as it starts with (`least`); more when more were wished for."""
    posted = request.form.get("row_count", "") if request.method == "POST" else ""
    is_number = posted.isascii() and posted.isdigit() and len(posted) <= MOST_DIGITS
    shown = int(posted) if is_number else (least or form_class.starts_with)
    if wishes_more():
        shown += form_class.adds
    shown = min(max(shown, 1), MOST_ROWS)
    form = _with_rows(form_class, shown).from_request(**given)
    form.row_count.data = str(shown)
    form.row_count.raw_data = None
    return form


def _with_rows(form_class: type[F], rows: int) -> type[F]:
    made = {
        f"{form_class.row_word}_{number}_{part}": make(_spoken(form_class.row_word, number))
        for number in range(1, rows + 1)
        for part, make in form_class.row_fields.items()
    }
    return type(form_class.__name__, (form_class,), made)


def _spoken(word: str, number: int) -> str:
    # The row's number stands beside the row; a screen reader that jumps from box to box hears it with each.
    return Markup('<span class="visually-hidden">{} {}: </span>').format(word.capitalize(), number)


def label(lead: str, words: str) -> Markup:
    """A row field's label: the row said aloud only, then the words."""
    return Markup(lead) + escape(words)  # noqa: S704 - the lead is made by `_spoken` from a number


def kind_choices() -> list[tuple[str, str]]:
    """Every form of furniture, with nothing chosen first."""
    return [("", "Choose"), *((kind.value, words) for kind, words in FORM_WORDS.items())]
