"""The form base and the fields the trade needs; everything typed is kept when a field is wrong."""

from collections.abc import Callable
from datetime import date
from typing import Any, Self
from uuid import uuid4

from flask import request
from werkzeug.datastructures import CombinedMultiDict
from wtforms import Field, FileField, HiddenField, MultipleFileField, StringField, TextAreaField
from wtforms import Form as PlainForm
from wtforms.validators import InputRequired, StopValidation
from wtforms.widgets import DateInput

from app.basics.dates import parse_day
from app.basics.errors import RuleError, StaleEdit
from app.basics.money import money_plain, parse_money
from app.basics.quantities import (
    format_minutes,
    format_wait,
    length_plain,
    parse_length,
    parse_minutes,
    parse_percent,
    parse_rate,
    parse_wait,
    percent_plain,
    rate_plain,
)
from app.basics.striking import WHY_STRUCK
from app.basics.words import LINE_LIMIT, NOTE_LIMIT, REASON_LIMIT, clean_line, clean_text
from app.web.frame import frame

# More digits than the ledger's own numbers can have; Python itself refuses to read some thousands of them.
MOST_DIGITS = 18


class AnswerRequired(InputRequired):
    """Asks for an answer; blanks alone are none."""

    def __call__(self, form: PlainForm, field: Field) -> None:
        """Stop with the message when nothing was typed or chosen."""
        if field.raw_data and not str(field.raw_data[0]).strip():
            field.errors = []
            raise StopValidation(self.message)
        super().__call__(form, field)


def required(message: str) -> AnswerRequired:
    """A validator that asks for an answer in the words of `message`."""
    return AnswerRequired(message)


class ReadField(StringField):
    """A text box whose words are read into a value by `read`; an empty box is None."""

    data: Any

    def read(self, text: str) -> Any:
        """Turn what was typed into a value, or raise RuleError with the words to show."""
        raise NotImplementedError

    def plain(self, value: Any) -> str:
        """The value as it would be typed."""
        raise NotImplementedError

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read what was posted; the raw words stay in `raw_data` for showing again."""
        text = valuelist[0] if valuelist else ""
        self.data = None
        if not text.strip():
            return
        try:
            self.data = self.read(text)
        except RuleError as refusal:
            raise ValueError(refusal.message) from refusal

    def pre_validate(self, form: PlainForm) -> None:  # noqa: ARG002
        """Stop at the first trouble, so that one mistake gets one message."""
        if self.process_errors:
            raise StopValidation

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "" if self.data is None else self.plain(self.data)


class MoneyField(ReadField):
    """An amount of money; data is minor units."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        kwargs.setdefault("render_kw", {"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> int:
        """Minor units of the shop's currency."""
        return parse_money(text, places=frame().places)

    def plain(self, value: int) -> str:
        """Digits with a point."""
        return money_plain(value, frame().places)


class DayField(ReadField):
    """A business date; a new form starts with today."""

    widget = DateInput()

    def __init__(self, label: str, validators: Any = (), *, starts_today: bool = True, **kwargs: Any) -> None:
        if starts_today:
            kwargs.setdefault("default", lambda: frame().today)
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> date:
        """A calendar day that exists."""
        return parse_day(text)

    def plain(self, value: date) -> str:
        """The form a date box wants."""
        return value.isoformat()


class MinutesField(ReadField):
    """A spell of work; data is whole minutes."""

    def read(self, text: str) -> int:
        """Minutes from 40, 1:20 or 1 h 20."""
        return parse_minutes(text)

    def plain(self, value: int) -> str:
        """Hours and minutes in words."""
        return format_minutes(value)


class WaitField(ReadField):
    """How long something works, dries or hardens; data is whole minutes."""

    def read(self, text: str) -> int:
        """Minutes from 30 min, 4 h, 3 days or 2 weeks."""
        return parse_wait(text)

    def plain(self, value: int) -> str:
        """In hours or days, as a label says it."""
        return format_wait(value)


class LengthField(ReadField):
    """A length in the shop's units; data is millimetres."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        kwargs.setdefault("render_kw", {"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> int:
        """Millimetres."""
        return parse_length(text, frame().units)

    def plain(self, value: int) -> str:
        """In the shop's units."""
        return length_plain(value, frame().units)


class PercentField(ReadField):
    """A share of 0 to 100 %; data is hundredths of a percent."""

    def read(self, text: str) -> int:
        """Hundredths of a percent."""
        return parse_percent(text)

    def plain(self, value: int) -> str:
        """Digits without the sign."""
        return percent_plain(value)


class RateField(ReadField):
    """A rate of tax of 0 to 100 %; data is millionths."""

    def read(self, text: str) -> int:
        """Millionths of the whole."""
        return parse_rate(text)

    def plain(self, value: int) -> str:
        """The percentage without the sign."""
        return rate_plain(value)


class LineField(ReadField):
    """One line of words; control characters are taken out, the length is limited; an empty box is ''."""

    def __init__(self, label: str, validators: Any = (), *, limit: int = LINE_LIMIT, **kwargs: Any) -> None:
        self.limit = limit
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> str:
        """The line, cleaned."""
        return clean_line(text, self.limit)

    def plain(self, value: str) -> str:
        """The line itself."""
        return value

    def process_formdata(self, valuelist: list[str]) -> None:
        """As the base does, with '' for an empty box."""
        super().process_formdata(valuelist)
        self.data = self.data or ""


class BlockField(LineField, TextAreaField):
    """Several lines of words."""

    widget = TextAreaField.widget

    def __init__(self, label: str, validators: Any = (), *, limit: int = NOTE_LIMIT, **kwargs: Any) -> None:
        super().__init__(label, validators, limit=limit, **kwargs)

    def read(self, text: str) -> str:
        """The text, cleaned, with its line breaks."""
        return clean_text(text, self.limit)


class Form(PlainForm):
    """Base of every form that is posted: it can be saved once.

    `submit_token` names this very form; a second post of it finds what the first one saved. Form fields are
    known to rule errors by their name.
    """

    submit_token = HiddenField()

    @classmethod
    def from_request(cls, **given: Any) -> Self:
        """The form as posted, or a new one holding `given` (WTForms keywords: obj, data, or a field's value)."""
        if request.method == "POST":
            form = cls(CombinedMultiDict([request.form, request.files]), **given)
            form._take_files_only()
            return form
        form = cls(**given)
        form.renew_token()
        return form

    def _take_files_only(self) -> None:
        """Words sent under the name of a file are no file."""
        for field in self:
            if isinstance(field, FileField):
                sent = request.files.getlist(field.name)
                field.data = sent if isinstance(field, MultipleFileField) else next(iter(sent), None)

    def renew_token(self) -> None:
        """Make this a new form: posting it saves again."""
        self.submit_token.data = str(uuid4())
        self.submit_token.raw_data = None

    def offer(self, field_name: str, choices: list[tuple[str, str]]) -> Self:
        """Give a choice field its choices."""
        self[field_name].choices = choices
        return self

    def refuse(self, refusal: RuleError) -> None:
        """Show a rule's refusal at its field, or above the form when the field is not here."""
        if refusal.field and refusal.field in self:
            self[refusal.field].errors = [*self[refusal.field].errors, refusal.message]
        else:
            self.form_errors.append(refusal.message)

    def has_errors_in(self, *names: str) -> bool:
        """Whether one of the named fields has something wrong: the fold that holds it must be open."""
        return any(self[name].errors for name in names)


class StrikeForm(Form):
    """Asks why a row is struck out."""

    reason = LineField("Why is it struck out?", [required(WHY_STRUCK)], limit=REASON_LIMIT)


def row_number(words: str) -> int | None:
    """The number of a row that an address or a form names; None for what is no number a row can have."""
    return int(words) if words.isascii() and words.isdigit() and len(words) <= MOST_DIGITS else None


class VersionedForm(Form):
    """A form that changes a row: it carries the version the row had when the form was made."""

    version = HiddenField()
    clash: StaleEdit | None = None

    @property
    def version_number(self) -> int:
        """The version the form was made on; -1 when it was tampered with, which matches no row."""
        number = row_number(str(self.version.data or ""))
        return -1 if number is None else number


def words_of(choices: Any, label: Callable[[Any], str] = str) -> list[tuple[str, str]]:
    """Choices for a field from enum members or values."""
    return [(str(choice), label(choice)) for choice in choices]
