"""Forms of the pieces room."""

from app.pieces.forms.buying import HaulForm, OpeningForm, PaidForm, SourceChangeForm, SourceForm, haul_form
from app.pieces.forms.choosing import ChoiceForm
from app.pieces.forms.facts import START_COLOUR, FactsForm, FinishForm, NextForm
from app.pieces.forms.moves import BringBackForm, DatesForm, StepForm, dates_form

__all__ = [
    "START_COLOUR",
    "BringBackForm",
    "ChoiceForm",
    "DatesForm",
    "FactsForm",
    "FinishForm",
    "HaulForm",
    "NextForm",
    "OpeningForm",
    "PaidForm",
    "SourceChangeForm",
    "SourceForm",
    "StepForm",
    "dates_form",
    "haul_form",
]
