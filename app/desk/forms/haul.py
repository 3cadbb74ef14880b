"""The form for several pieces bought for one price."""

from collections.abc import Mapping
from typing import Any, ClassVar

from wtforms import RadioField, SelectField

from app.basics.words import LINE_LIMIT, TITLE_LIMIT
from app.desk.forms.rows import FieldMaker, RowsForm, kind_choices, label
from app.desk.forms.source import source_field, source_id_of
from app.pieces.forms.fields import NumberField
from app.pieces.rules import SPLIT_WORDS, Facts, HaulPart, NewHaul, SplitMethod
from app.pieces.rules import Form as PieceForm
from app.web.forms import DayField, LineField, MoneyField, required


def split_choices() -> list[tuple[str, str]]:
    """The ways to share one price over several pieces."""
    return [(method.value, words) for method, words in SPLIT_WORDS.items()]


class HaulForm(RowsForm):
    """One price, where and when it was paid, and the pieces it bought."""

    row_fields: ClassVar[Mapping[str, FieldMaker]] = {
        "form": lambda lead: SelectField(label(lead, "What it is"), choices=kind_choices),
        "title": lambda lead: LineField(label(lead, "Name"), limit=TITLE_LIMIT),
        "count": lambda lead: NumberField(label(lead, "A set of")),
        "guess": lambda lead: MoneyField(label(lead, "Will sell for about")),
        "by_hand": lambda lead: MoneyField(label(lead, "Its share")),
    }

    source = source_field()
    bought_on = DayField("Bought on", [required("Give the day you bought them.")])
    paid = MoneyField("Price for all of it", [required("Type the price for all of it; 0 if it cost nothing.")])
    premium = MoneyField("Buyer's premium")
    tax = MoneyField("Sales tax paid")
    split = RadioField("Share the price", choices=split_choices, default=SplitMethod.GUESS.value)
    note = LineField("Note", limit=LINE_LIMIT)

    def new_haul(self) -> NewHaul:
        """The haul as filled in, its empty rows left away."""
        return NewHaul(
            source_id=source_id_of(self.source),
            bought_on=self.bought_on.data,
            price_cents=self.paid.data,
            premium_cents=self.premium.data or 0,
            tax_cents=self.tax.data or 0,
            split=SplitMethod(self.split.data),
            parts=tuple(self._part(number) for number in self.filled()),
            note=self.note.data or "",
        )

    def _part(self, number: int) -> HaulPart:
        count = self.at(number, "count").data
        return HaulPart(
            facts=Facts(
                form=PieceForm(self.at(number, "form").data),
                title=self.at(number, "title").data,
                count=1 if count is None else count,
            ),
            guess_cents=self.at(number, "guess").data,
            by_hand_cents=self.at(number, "by_hand").data,
        )

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: every row that holds something says what it is, and there is at least one row."""
        is_sound = super().validate(extra_validators)
        for number in self.filled():
            kind = self.at(number, "form")
            if not kind.data:
                kind.errors = [*kind.errors, f"Piece {number}: choose what it is."]
                is_sound = False
        if not self.filled():
            self.form_errors.append("Fill in at least one piece.")
            is_sound = False
        return is_sound
