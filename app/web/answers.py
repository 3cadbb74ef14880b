"""Forms whose answers may stand in a page's address, so that going back never meets a post that is gone."""

from typing import Any, Self

from flask import request
from werkzeug.datastructures import MultiDict
from wtforms import HiddenField, SelectMultipleField

from app.web.forms import Form, ReadField


class AnswersForm(Form):
    """A form that a page's address can fill in; what is hidden in it is never taken from there."""

    is_told = False

    @classmethod
    def from_request(cls, **given: Any) -> Self:
        """The form as posted, else as the address tells it, else a new one holding `given`.

        A form the address tells has `is_told`, a token of its own and nothing that was found wrong yet.
        """
        form = super().from_request(**given)
        names = [field.name for field in form.answer_fields()]
        told = [(name, value) for name in names for value in request.args.getlist(name)]
        if request.method == "POST" or not told:
            return form
        form = cls(MultiDict(told), **given)
        form.is_told = True
        form.renew_token()
        return form

    def answers(self) -> dict[str, Any]:
        """Each answer as it was typed, by the name of its field: what an address carries to fill the form in."""
        return {field.name: _typed(field) for field in self.answer_fields()}

    def answer_fields(self) -> list[Any]:
        """The fields somebody fills in."""
        return [field for field in self if not isinstance(field, HiddenField)]


def _typed(field: Any) -> str | list[str]:
    if isinstance(field, ReadField):
        return field._value()  # noqa: SLF001 - the words of the box, which a field gives to its widget only
    if isinstance(field, SelectMultipleField):
        return [str(value) for value in field.data or ()]
    return str(field.data or "")
