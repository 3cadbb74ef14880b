"""Forms for a piece's way: a step forward, coming back, and its dates."""

from collections.abc import Sequence
from datetime import date

from wtforms import RadioField

from app.basics.words import REASON_LIMIT
from app.pieces.rules import StepRow, field_of, step_label
from app.web.forms import DayField, LineField, VersionedForm, required


class StepForm(VersionedForm):
    """Which stage a piece has come to, and when."""

    to_stage = RadioField("It is now", [required("Choose how far it has come.")], choices=[])
    on_date = DayField("Since", [required("Give the day it came so far.")])


class BringBackForm(VersionedForm):
    """When and why a piece that had left is here again."""

    on_date = DayField("Back since", [required("Give the day it came back.")])
    reason = LineField(
        "Why",
        [required("Say why it comes back; a few words will do.")],
        limit=REASON_LIMIT,
        description="A few words, like: the neighbour had no room for it.",
    )


class DatesForm(VersionedForm):
    """The day a piece was found; `dates_form` adds a day for each step that has one of its own."""

    sourced_on = DayField("Found on", [required("Give the day it was found.")], starts_today=False)

    def step_dates(self, steps: Sequence[StepRow]) -> dict[int, date]:
        """The days of the steps as filled in, by step id."""
        return {step.id: self[field_of(step)].data for step in steps if step.is_dated_by_hand}


def dates_form(steps: Sequence[StepRow]) -> type[DatesForm]:
    """A form with a day for each of the steps that is dated by hand."""
    fields = {
        field_of(step): DayField(step_label(step), [required("Give the day of this step.")], starts_today=False)
        for step in steps
        if step.is_dated_by_hand
    }
    return type("StepDatesForm", (DatesForm,), fields)
