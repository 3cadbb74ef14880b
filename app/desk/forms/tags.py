"""Asks which tags to print, on what, and where on the sheet; it is sent by GET, for printing changes nothing."""

from enum import StrEnum

from wtforms import BooleanField, RadioField, SelectField, SelectMultipleField, StringField

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.desk.rules.tags import LAYOUTS, NUDGES, LayoutKey, Wish, require_sound_wish
from app.web.forms import Form, row_number, words_of


class Which(StrEnum):
    """Which pieces get a tag."""

    HAND = "hand"
    FLOOR = "floor"
    TICKED = "ticked"


WHICH_WORDS = {Which.HAND: "All on hand", Which.FLOOR: "Those on the floor", Which.TICKED: "Those ticked below"}


def which_choices() -> list[tuple[str, str]]:
    """All on hand, those on the floor, or some."""
    return words_of(WHICH_WORDS, lambda which: WHICH_WORDS[which])


def layout_choices() -> list[tuple[str, str]]:
    """Every sheet and roll."""
    return words_of(LAYOUTS, lambda layout: LAYOUTS[layout].words)


def nudge_choices() -> list[tuple[str, str]]:
    """Half millimetres either way."""
    return [(f"{nudge:g}", f"{nudge:+g} mm" if nudge else "not at all") for nudge in NUDGES]


class TagsForm(Form):
    """Which tags, on what, from which label on, and moved by how much."""

    which = RadioField("Which pieces", choices=which_choices, validate_choice=False)
    tag = SelectMultipleField("Pieces", choices=[], validate_choice=False)
    layout = RadioField("Printed on", choices=layout_choices, validate_choice=False)
    care = BooleanField("Print the note on care behind, where a finished piece has one")
    start = StringField(
        "Start at label",
        description="For a sheet that is used in part. Counted row by row from the upper left.",
        render_kw={"inputmode": "numeric", "autocomplete": "off"},
    )
    down = SelectField("Move down", choices=nudge_choices, validate_choice=False)
    right = SelectField("Move to the right", choices=nudge_choices, validate_choice=False)

    def fill_in(self, units: Units) -> None:
        """What holds where the address says nothing: the paper of the country, the first label, nothing moved."""
        usual = LayoutKey.TIE_LETTER if units is Units.IMPERIAL else LayoutKey.TIE_A4
        self.which.data = self.chosen.value
        self.layout.data = self.layout.data if self.layout.data in set(LayoutKey) else usual.value
        self.start.data = self.start.data or "1"
        self.down.data, self.right.data = self.down.data or "0", self.right.data or "0"

    @property
    def chosen(self) -> Which:
        """Which pieces are meant; all on hand where nothing was said."""
        return Which(self.which.data) if self.which.data in set(Which) else Which.HAND

    def wish(self) -> Wish:
        """How to print, as filled in; refuses, at its field, what no sheet has (RuleError)."""
        start = row_number(str(self.start.data).strip())
        if start is None:
            raise RuleError("Type the number of a label, like 5.", "start")
        wish = Wish(
            LayoutKey(self.layout.data), start, _nudge(self.down), _nudge(self.right), with_care=bool(self.care.data)
        )
        require_sound_wish(wish)
        return wish


def _nudge(field: SelectField) -> float:
    known = {value: nudge for (value, _), nudge in zip(nudge_choices(), NUDGES, strict=True)}
    if field.data not in known:
        raise RuleError("Choose by how much to move it.", field.name)
    return known[field.data]
