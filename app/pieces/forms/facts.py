"""Forms for what is known of a piece: its facts, its finish, what to do next."""

from dataclasses import replace
from typing import Any

from wtforms import BooleanField, RadioField

from app.basics.words import TITLE_LIMIT
from app.pieces.forms.fields import ColourField, NumberField
from app.pieces.rules import AGE_WORDS, CONDITION_WORDS, FORM_WORDS, Age, Condition, Facts
from app.pieces.rules import Form as PieceForm
from app.web.forms import BlockField, LengthField, LineField, VersionedForm, required

START_COLOUR = "#b98a4e"
"""What the colour box shows before a colour is chosen: the box cannot be empty."""


class FactsForm(VersionedForm):
    """Everything known of a piece but its finish."""

    form = RadioField(
        "What is it",
        [required("Tap what it is.")],
        choices=[(kind.value, words) for kind, words in FORM_WORDS.items()],
    )
    title = LineField("Name", limit=TITLE_LIMIT, description="Without one it goes by what it is.")
    count = NumberField("A set of", [required("Say how many; 1 for one piece.")])
    width_mm = LengthField("Width")
    depth_mm = LengthField("Depth")
    height_mm = LengthField("Height")
    condition = RadioField(
        "Condition when it came",
        choices=[("", "Not said"), *((c.value, f"{c.value}: {CONDITION_WORDS[c]}") for c in Condition)],
    )
    materials = LineField("Made of", description="Like pine, oak veneer, brass pulls.")
    age = RadioField("Made", choices=[(age.value, words) for age, words in AGE_WORDS.items()])
    year = NumberField("Year, if you know it")
    notes = BlockField("Notes")

    def facts(self, before: Facts) -> Facts:
        """The facts as filled in; the finish stays as it was `before`."""
        return replace(
            before,
            form=PieceForm(self.form.data),
            title=self.title.data,
            count=self.count.data,
            width_mm=self.width_mm.data,
            depth_mm=self.depth_mm.data,
            height_mm=self.height_mm.data,
            condition=Condition(self.condition.data) if self.condition.data else None,
            materials=self.materials.data,
            age=Age(self.age.data),
            year=self.year.data,
            notes=self.notes.data,
        )


class FinishForm(VersionedForm):
    """The colour a piece has now, and words for its finish; `shown` is what the colour box began with."""

    shown = START_COLOUR
    has_no_colour = BooleanField("No colour yet")
    finish_colour = ColourField("Colour")
    finish_words = LineField("In words", description="Like two coats of sage green, wax on top.")

    def colour(self) -> str | None:
        """The colour as chosen; None when there is none yet."""
        return None if self.has_no_colour.data else self.finish_colour.data or None

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: a colour chosen while "no colour yet" stayed ticked is asked about, for saving would lose it."""
        is_sound = bool(super().validate(extra_validators))
        if self.has_no_colour.data and self.finish_colour.data not in {None, self.shown}:
            self.has_no_colour.errors = ["You chose a colour. Take this tick away to keep it."]
            return False
        return is_sound


class NextForm(VersionedForm):
    """What to do next on a piece."""

    next_note = LineField("What to do next", description="One line, like: glue the left drawer. Empty takes it off.")
