"""The form for taking parts off a piece to the shelf."""

from wtforms import SelectField
from wtforms.validators import DataRequired

from app.basics.words import NAME_LIMIT
from app.shelf.forms import QuantityForm
from app.shelf.rules import NewParts
from app.web.forms import LineField, MoneyField, row_number

NEW_ONE = ("", "Something new: name it below")


class PartsForm(QuantityForm):
    """What comes off, how many, and at what value they go on the shelf."""

    material = SelectField("What comes off?", validate_choice=False)
    new_name = LineField("Its name", limit=NAME_LIMIT, description="Like: brass pulls, 3 inch.")
    value = MoneyField("Worth, all of them", [DataRequired("Type what they are worth to you; 0 for nothing.")])

    def offer_materials(self, choices: list[tuple[str, str]]) -> "PartsForm":
        """Offer what is counted one by one on the shelf, and something new."""
        self.material.choices = [NEW_ONE, *choices]
        return self

    @property
    def material_id(self) -> int | None:
        """The number of the material chosen; None for something new."""
        return row_number(str(self.material.data or ""))

    def new_parts(self, piece_id: int) -> NewParts:
        """The parts as they were told; something new has no number yet."""
        return NewParts(
            material_id=self.material_id or 0,
            piece_id=piece_id,
            milli=self.milli or 0,
            value_cents=self.value.data,
            on_date=self.on_date.data,
            note=self.note.data,
        )
