"""Forms of the pile: what becomes of a group of photos, and numbers of photos carried from page to page."""

from collections.abc import Iterable
from typing import Any

from wtforms import HiddenField, SelectField, SelectMultipleField
from wtforms.validators import ValidationError

from app.photos import forms as photos
from app.photos.rules import MOST_ON_PILE_AT_ONCE, Shows
from app.web.forms import Form, row_number


def numbers_told(words: str) -> list[int]:
    """Numbers of photos from an address or a hidden field, each once; what is no number is left out."""
    found = (row_number(part.strip()) for part in words.split(",")[: 2 * MOST_ON_PILE_AT_ONCE])
    return list(dict.fromkeys(number for number in found if number is not None))


def told_numbers(numbers: Iterable[int]) -> str:
    """Numbers of photos as an address or a hidden field carries them."""
    return ",".join(str(number) for number in numbers)


def shows_choices() -> list[tuple[str, str]]:
    """What photos may show, beginning with what the stage of their piece says."""
    return [("", "Go by the piece's stage"), *photos.shows_choices()]


class SortForm(Form):
    """What is done with the ticked photos of a group: `act` is the button pressed, `group` the first photo of all."""

    photos = SelectMultipleField("Photos", id="ticked", choices=[], validate_choice=False)
    piece = SelectField("Piece", choices=[], validate_choice=False)
    shows = SelectField("What they show", choices=shows_choices, default="")
    act = HiddenField(default="piece")
    group = HiddenField()

    @property
    def numbers(self) -> list[int]:
        """The ticked photos."""
        return numbers_told(",".join(self.photos.data or []))

    @property
    def shown(self) -> Shows | None:
        """What the photos show, or None where nobody said."""
        return Shows(self.shows.data) if self.shows.data else None

    def validate(self, extra_validators: Any = None) -> bool:
        """Something must be ticked, and a piece named where the photos go on one."""
        is_sound = bool(super().validate(extra_validators))
        if not self.numbers:
            self.photos.errors = ["Leave at least one photo ticked."]
        return is_sound and not self.photos.errors

    def validate_piece(self, field: SelectField) -> None:
        """A piece is asked for only where the photos are put on one."""
        if self.act.data == "piece" and not field.data:
            raise ValidationError("Choose the piece these photos belong to.")
