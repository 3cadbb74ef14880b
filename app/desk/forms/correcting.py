"""The form that says what the amounts of a row in a closed month should have been."""

from collections.abc import Sequence
from typing import Any

from app.basics.words import REASON_LIMIT
from app.costs.rules import AdjustedPart, CorrectableAmount, box_of
from app.web.filters import money
from app.web.forms import DayField, LineField, MoneyField, VersionedForm, required


class CorrectionForm(VersionedForm):
    """When the correction counts and why; `correction_form` adds a box for each amount, empty where it stays."""

    on_date = DayField("Counts on", [required("Give the day on which the correction counts.")])
    reason = LineField(
        "What was wrong",
        [required("Say what was wrong; a few words will do.")],
        limit=REASON_LIMIT,
        description="A few words, like: misread the receipt.",
    )
    parts: tuple[AdjustedPart, ...] = ()

    def should_be(self) -> dict[AdjustedPart, int]:
        """What each amount should have been, in cents, where a box was filled in."""
        filled = {part: self[box_of(part)].data for part in self.parts}
        return {part: cents for part, cents in filled.items() if cents is not None}


def correction_form(amounts: Sequence[CorrectableAmount]) -> type[CorrectionForm]:
    """A form with a box for each amount of the row."""
    boxes: dict[str, Any] = {
        box_of(amount.part): MoneyField(amount.label, description=f"It says {_said(amount)}. It should have been:")
        for amount in amounts
    }
    return type("RowCorrectionForm", (CorrectionForm,), {**boxes, "parts": tuple(amount.part for amount in amounts)})


def _said(amount: CorrectableAmount) -> str:
    return f"{money(amount.cents)}, with corrections {money(amount.now)}" if amount.corrected else money(amount.now)
