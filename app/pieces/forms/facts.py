"""Forms for what is known of a piece: its facts, its finish, what to do next."""

from dataclasses import replace
from typing import Any

from wtforms import BooleanField, RadioField

from app.basics.words import TITLE_LIMIT
from app.pieces.forms.fields import ColourField, NumberField
from app.pieces.rules import AGE_WORDS, CONDITION_WORDS, FORM_WORDS, Age, Condition, Facts
from app.pieces.rules import Form as PieceForm
from app.web.forms import BlockField, LengthField, LineField, VersionedForm, required, words_of

START_COLOUR = "#b98a4e"
"""What the colour box shows before a colour is chosen: the box cannot be empty."""


def form_choices() -> list[tuple[str, str]]:
    """Every form by its words."""
    return words_of(FORM_WORDS, lambda form: FORM_WORDS[form])


def condition_choices() -> list[tuple[str, str]]:
    """Every grade of wear, and that nobody said."""
    return [("", "Not said"), *words_of(Condition, lambda grade: f"{grade}: {CONDITION_WORDS[grade]}")]


def age_choices() -> list[tuple[str, str]]:
    """Every age a piece may have."""
    return words_of(AGE_WORDS, lambda age: AGE_WORDS[age])


def facts_filled_in(form: Any, before: Facts) -> Facts:
    """What a form with the boxes of `FactsForm` says of a piece, over what was known `before`."""
    return replace(
        before,
        form=PieceForm(form.form.data),
        title=form.title.data,
        count=before.count if form.count.data is None else form.count.data,
        width_mm=form.width_mm.data,
        depth_mm=form.depth_mm.data,
        height_mm=form.height_mm.data,
        condition=Condition(form.condition.data) if form.condition.data else None,
        materials=form.materials.data,
        age=Age(form.age.data),
        year=form.year.data,
        notes=form.notes.data,
    )


class FactsForm(VersionedForm):
    """Everything known of a piece but its finish."""

    form = RadioField(
        "What is it",
        [required("Tap what it is.")],
        choices=form_choices,
    )
    title = LineField("Name", limit=TITLE_LIMIT, description="Without one it goes by what it is.")
    count = NumberField("A set of", [required("Say how many; 1 for one piece.")])
    width_mm = LengthField("Width")
    depth_mm = LengthField("Depth")
    height_mm = LengthField("Height")
    condition = RadioField(
        "Condition when it came",
        choices=condition_choices,
    )
    materials = LineField("Made of", description="Like pine, oak veneer, brass pulls.")
    age = RadioField("Made", choices=age_choices)
    year = NumberField("Year, if you know it")
    notes = BlockField("Notes")

    def facts(self, before: Facts) -> Facts:
        """The facts as filled in; the finish stays as it was `before`."""
        return facts_filled_in(self, before)


class FinishForm(VersionedForm):
    """The colour a piece has now, and words for its finish; `shown` is what the colour box began with."""

    shown = START_COLOUR
    has_no_colour = BooleanField("No colour yet")
    finish_colour = ColourField("Colour")
    finish_words = LineField("In words", description="Like two coats of sage green, wax on top.")

    def colour(self) -> str | None:
        """The colour as chosen, tick or no tick; None when the tick stands and the box was left as it was."""
        chosen: str | None = self.finish_colour.data or None
        return None if self.has_no_colour.data and chosen in {None, self.shown} else chosen


class NextForm(VersionedForm):
    """What to do next on a piece."""

    next_note = LineField("What to do next", description="One line, like: glue the left drawer. Empty takes it off.")
