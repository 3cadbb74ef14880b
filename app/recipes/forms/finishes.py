"""Forms for beginning a finish on a piece, for working its steps off, and for stopping it."""

from typing import Any

from wtforms import BooleanField, RadioField, SelectField
from wtforms.validators import DataRequired

from app.basics.errors import RuleError
from app.basics.words import LINE_LIMIT, NAME_LIMIT, REASON_LIMIT
from app.recipes.forms.fields import HumidityField, InstantField, TemperatureField
from app.recipes.rules import LEAD_TEST_WORDS, PART_WORDS, Air, DoneFacts, LeadTest, NewFinish, Part
from app.shelf.rules import Measure, Unit, measure_words, measures_for, parse_quantity
from app.web.answers import AnswersForm
from app.web.checking import AgreedForm
from app.web.forms import Form, LineField, MinutesField, VersionedForm, required, row_number, words_of
from app.web.frame import frame

NO_RECIPE = ("", "No recipe: step by step")
AS_WRITTEN = ("", "As the recipe says")
COVERS_NOTHING = ("", "Nothing: it is new")
BECAUSE = "Why it does not hold here"


MUCH_MORE = 10
"""So many times the usual amount is asked about again."""


def lead_choices() -> list[tuple[str, str]]:
    """What a test for lead may have said."""
    told = (LeadTest.NEGATIVE, LeadTest.POSITIVE)
    return [*words_of(told, lambda result: LEAD_TEST_WORDS[result]), ("", "Not back yet")]


class BeginFinishForm(Form):
    """By which recipe, on which part, and what it covers."""

    recipe = SelectField("Recipe", validate_choice=False)
    name = LineField("What you call it", limit=NAME_LIMIT)
    part = SelectField("On which part?", validate_choice=False)
    redo_of = SelectField("Which finish does it cover?", validate_choice=False)
    made_for = LineField("For whom?", limit=NAME_LIMIT)

    def offer_all(self, recipes: list[tuple[str, str]], finishes: list[tuple[str, str]]) -> "BeginFinishForm":
        """Offer the recipes, every part, and the finishes on the piece that may be covered."""
        self.recipe.choices = [NO_RECIPE, *recipes]
        self.part.choices = [AS_WRITTEN, *words_of(PART_WORDS, lambda part: PART_WORDS[part])]
        self.redo_of.choices = [COVERS_NOTHING, *finishes]
        return self

    def new_finish(self, piece_id: int, like_finish_id: int | None = None) -> NewFinish:
        """The finish as it was asked for."""
        return NewFinish(
            piece_id=piece_id,
            recipe_id=None if like_finish_id else row_number(str(self.recipe.data or "")),
            like_finish_id=like_finish_id,
            part=Part(self.part.data) if self.part.data in set(Part) else None,
            name=self.name.data,
            redo_of_id=row_number(str(self.redo_of.data or "")),
            made_for=self.made_for.data,
        )


class BeginStepForm(VersionedForm):
    """Begins a step; says why a check that says stop does not hold, where one does."""

    temperature = TemperatureField("Temperature of the room")
    humidity = HumidityField("Humidity")
    because = LineField(BECAUSE, limit=REASON_LIMIT)

    @property
    def air(self) -> Air | None:
        """The air of the room, where both of it were typed."""
        if self.temperature.data is None or self.humidity.data is None:
            return None
        return Air(self.temperature.data, self.humidity.data)

    def fill_in(self, version: int, air: Air | None) -> None:
        """Show the version of the step, and the air as it was typed not long ago."""
        self.version.data = str(version)
        if air is not None:
            self.temperature.data, self.humidity.data = air.temp_tenths, air.humidity


class DoneStepForm(AnswersForm, AgreedForm, VersionedForm):
    """What a step really took."""

    minutes = MinutesField("How long did you work on it?", [DataRequired("Type how long it took.")])
    quantity = LineField("How much did you use?", limit=40, render_kw={"inputmode": "decimal", "autocomplete": "off"})
    measure = SelectField("Measured in", validate_choice=False)
    ended = InstantField("Done at", [DataRequired("Say when it was done.")])
    temperature = TemperatureField("Temperature of the room")
    humidity = HumidityField("Humidity")
    note = LineField("Note", limit=LINE_LIMIT)
    because = LineField(BECAUSE, limit=REASON_LIMIT)
    mark_finished = BooleanField("Mark the piece finished")

    lead = RadioField("What did the test say?", choices=lead_choices, default="")

    unit: Unit | None = None
    milli: int | None = None
    usual_milli: int | None = None

    def measured_in(self, unit: Unit | None) -> "DoneStepForm":
        """Ask for a quantity of that unit; None where nothing comes off the shelf."""
        self.unit = unit
        measures = measures_for(unit, frame().units) if unit else ()
        self.measure.choices = words_of(measures, measure_words)
        if measures and self.measure.data not in set(measures):
            self.measure.data = measures[0].value
        return self

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: the quantity can be read; an empty box takes nothing off the shelf."""
        is_sound: bool = super().validate(extra_validators)
        if self.unit is None or not self.quantity.data or self.quantity.errors:
            return is_sound
        try:
            self.milli = parse_quantity(self.quantity.data, self.unit, Measure(self.measure.data)) or None
            self._require_likely()
        except RuleError as refusal:
            self.quantity.errors = [refusal.message]
            return False
        return is_sound

    def _require_likely(self) -> None:
        """Ask again about ten times the usual; a measure written behind the number answers it."""
        is_bare = str(self.quantity.data).strip()[-1:].isdigit()
        if self.milli and self.usual_milli and is_bare and self.milli > MUCH_MORE * self.usual_milli:
            words = measure_words(Measure(self.measure.data))
            raise RuleError(
                f"That is over {MUCH_MORE} times the usual. If it is so, type the measure too,"
                f" like {self.quantity.data} {words}."
            )

    @property
    def lead_result(self) -> LeadTest | None:
        """What a test for lead said; None while it is not back."""
        return LeadTest(self.lead.data) if self.lead.data in {LeadTest.NEGATIVE, LeadTest.POSITIVE} else None

    def done_facts(self) -> DoneFacts:
        """What was filled in."""
        return DoneFacts(
            minutes=self.minutes.data,
            done_at=self.ended.data,
            used_milli=self.milli,
            temp_tenths=self.temperature.data,
            humidity=self.humidity.data,
            note=self.note.data,
        )


class ReasonForm(VersionedForm):
    """Asks why a step is left out or put back, or a finish stopped."""

    reason = LineField("Why?", [required("Say why; a few words will do.")], limit=REASON_LIMIT)


class WaitForm(VersionedForm):
    """Asks from when the next coat may really go on."""

    ready = InstantField("The next coat may go on from", [DataRequired("Say from when.")])


class KeepForm(Form):
    """Asks what the recipe is called that a finish is kept as."""

    name = LineField("Name of the recipe", [required("Give it the name you call it by.")], limit=NAME_LIMIT)
