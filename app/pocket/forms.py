"""Forms for a capture that needs the owner, for letting one go, and for a rescue file."""

from typing import Any

from wtforms import FileField, SelectField

from app.basics.errors import RuleError
from app.basics.words import NAME_LIMIT, REASON_LIMIT, TITLE_LIMIT
from app.costs.rules import COST_WORDS, CostKind
from app.pieces.rules import FORM_WORDS
from app.pieces.rules import Form as PieceForm
from app.pocket.rules import CannotBeEntered, CaptureKind
from app.timelog.rules import ACTIVITY_WORDS, Activity
from app.web.forms import BlockField, DayField, Form, LineField, required, words_of

NOT_SAID = ("", "Not said")
AMOUNT_BOX = {"inputmode": "decimal", "autocomplete": "off"}
TAG_HINT = "A tag number, or the reference of a find. Empty: for the shop."


def _forms() -> list[tuple[str, str]]:
    return [NOT_SAID, *words_of(PieceForm, lambda form: FORM_WORDS[form])]


def _cost_kinds() -> list[tuple[str, str]]:
    return [NOT_SAID, *words_of(CostKind, lambda kind: COST_WORDS[kind])]


def _activities() -> list[tuple[str, str]]:
    return [NOT_SAID, *words_of(Activity, lambda activity: ACTIVITY_WORDS[activity])]


class HeldForm(Form):
    """A capture to be put right: its fields are the capture's own, and its rules judge them."""

    on_date = DayField("Day", starts_today=False)

    def said(self) -> dict[str, str]:
        """The fields as a phone would send them."""
        told = {field.name: str(field.data or "") for field in self if field.name != "submit_token"}
        return {**told, "on_date": self.on_date.data.isoformat() if self.on_date.data else ""}

    def refuse(self, refusal: RuleError) -> None:
        """Show every trouble of a capture at its field."""
        if not isinstance(refusal, CannotBeEntered):
            super().refuse(refusal)
            return
        for trouble in refusal.troubles:
            super().refuse(RuleError(trouble.detail, trouble.field))


class HeldFindForm(HeldForm):
    what = LineField("What it is", limit=TITLE_LIMIT)
    form = SelectField("Outline", choices=_forms, validate_choice=False)
    paid = LineField("Paid", render_kw=AMOUNT_BOX, description="Empty: not written down yet; entered as nothing.")
    where = LineField("Where from", limit=NAME_LIMIT)
    note = BlockField("Notes")


class HeldCostForm(HeldForm):
    tag = LineField("For which piece", limit=NAME_LIMIT, description=TAG_HINT, render_kw={"autocomplete": "off"})
    amount = LineField("Amount", render_kw=AMOUNT_BOX)
    cost_kind = SelectField("What for", choices=_cost_kinds, validate_choice=False)
    note = LineField("Note")


class HeldTimeForm(HeldForm):
    tag = LineField("On which piece", limit=NAME_LIMIT, description=TAG_HINT, render_kw={"autocomplete": "off"})
    minutes = LineField("How long")
    activity = SelectField("What you did", choices=_activities, validate_choice=False)
    note = LineField("Note")


FORM_OF: dict[CaptureKind, type[HeldForm]] = {
    CaptureKind.FIND: HeldFindForm,
    CaptureKind.COST: HeldCostForm,
    CaptureKind.TIME: HeldTimeForm,
}


class LetGoForm(Form):
    """Asks why a capture is let go."""

    reason = LineField("Why", [required("Say why you let it go; a few words will do.")], limit=REASON_LIMIT)


class RescueForm(Form):
    """Takes a rescue file."""

    file = FileField(
        "Rescue file",
        description="The phone saves it under a name that begins with captures-. Up to 420 MB.",
        render_kw={"accept": "application/json,.json"},
    )

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: a file was chosen."""
        if self.file.data and self.file.data.filename:
            return bool(super().validate(extra_validators))
        self.file.errors = ["Choose the file first."]
        return False
