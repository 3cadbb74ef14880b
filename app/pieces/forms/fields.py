"""Fields of the room: a whole number, and a colour."""

from typing import Any

from wtforms.widgets import ColorInput

from app.basics.errors import RuleError
from app.web.forms import ReadField

MOST_DIGITS = 6


class NumberField(ReadField):
    """A whole number from 0 on, such as a count or a year; an empty box is None."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        kwargs.setdefault("render_kw", {"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> int:
        """Plain digits."""
        bare = text.strip()
        if not (bare.isascii() and bare.isdigit()):
            raise RuleError("Type a whole number, like 4.")
        if len(bare.lstrip("0")) > MOST_DIGITS:
            raise RuleError("That number is too large.")
        return int(bare[-MOST_DIGITS:])

    def plain(self, value: int) -> str:
        """Its digits."""
        return str(value)


class ColourField(ReadField):
    """A colour from the browser's own box; data is written like #7a8f6a."""

    widget = ColorInput()

    def read(self, text: str) -> str:
        """The colour in small letters; the rules refuse what is none."""
        return text.strip().lower()

    def plain(self, value: str) -> str:
        """The colour itself."""
        return value
