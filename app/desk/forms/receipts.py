"""Forms that say which row a receipt belongs to."""

from collections.abc import Sequence
from typing import Any

from wtforms import FileField, HiddenField, RadioField, SelectField
from wtforms.fields.choices import SelectChoice
from wtforms.validators import ValidationError

from app.photos.forms import ACCEPTED
from app.photos.rules import MOST_ON_PILE_AT_ONCE
from app.web.forms import Form, row_number

OfferedRows = Sequence[tuple[int, dict[str, list[tuple[str, str]]]]]
"""For each photo its number, and the rows to choose from under their headings."""

CHOOSE_ONE = "Choose a photo, or one from the pile."


class ReceiptForm(Form):
    """The receipt of one row: a photo sent, or one that lies on the pile."""

    receipt = FileField("Photo of the receipt", render_kw={"accept": ACCEPTED})
    piled = RadioField("Or one from the pile", choices=[], default="", validate_choice=False)

    @property
    def has_file(self) -> bool:
        """Whether a file was chosen."""
        return bool(self.receipt.data and self.receipt.data.filename)

    @property
    def piled_number(self) -> int | None:
        """The photo chosen from the pile."""
        return row_number(str(self.piled.data or ""))

    def validate_receipt(self, _field: FileField) -> None:
        """Something must be chosen."""
        if not self.has_file and self.piled_number is None:
            raise ValidationError(CHOOSE_ONE)


class ReceiptsForm(Form):
    """Several photos of the pile, each with the row it is the receipt of; `receipts_form` adds a box for each."""

    photos = HiddenField()
    numbers: tuple[int, ...] = ()

    def offer_rows(self, offered: OfferedRows) -> None:
        """Give each photo's box its rows."""
        for photo_id, rows in offered:
            self[box_of(photo_id)].choices = [
                SelectChoice(value, label, optgroup=heading) for heading, few in rows.items() for value, label in few
            ]

    def chosen(self) -> dict[int, str]:
        """For each photo that a row was chosen for, the row's name."""
        said = {number: self[box_of(number)].data for number in self.numbers}
        return {number: name for number, name in said.items() if name}


def attached_told(words: str) -> dict[str, int]:
    """Rows with the photo that is their receipt, from an address or a hidden field: cost-12:46,trip-3:47.

    What is no such pair is left out.
    """
    pairs = (part.partition(":") for part in words.split(",")[:MOST_ON_PILE_AT_ONCE])
    found = {name.strip(): row_number(number.strip()) for name, _, number in pairs}
    return {name: number for name, number in found.items() if name and number is not None}


def box_of(photo_id: int) -> str:
    """The form field that asks whose receipt a photo is."""
    return f"of_{photo_id}"


def receipts_form(photo_ids: Sequence[int]) -> type[ReceiptsForm]:
    """A form with a box for each photo; its rows are offered later."""
    boxes: dict[str, Any] = {
        box_of(photo_id): SelectField(f"Photo {place} is the receipt of", default="", validate_choice=False)
        for place, photo_id in enumerate(photo_ids, start=1)
    }
    return type("PhotosOfRowsForm", (ReceiptsForm,), {**boxes, "numbers": tuple(photo_ids)})
