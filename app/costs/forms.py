"""Forms for writing a cost down and for striking one out."""

from wtforms import FileField, RadioField
from wtforms.validators import DataRequired

from app.basics.words import LINE_LIMIT, NAME_LIMIT
from app.costs.rules import COST_WORDS, CostKind, NewCost, kinds_for
from app.photos.forms import ACCEPTED
from app.web.forms import DayField, Form, LineField, MoneyField, required, words_of

PLACES_LIST = "places-bought-at"


class CostForm(Form):
    amount = MoneyField("Amount", [DataRequired("Type what it cost.")])
    kind = RadioField("What for", [required("Choose what it was for.")])
    on_date = DayField("Date", [DataRequired("Say on which day it was paid.")])
    bought_at = LineField("Bought at", limit=NAME_LIMIT, render_kw={"list": PLACES_LIST, "autocomplete": "off"})
    note = LineField("Note", limit=LINE_LIMIT)
    receipt = FileField("Photo of the receipt", render_kw={"accept": ACCEPTED})

    def ask_for(self, piece_id: int | None) -> "CostForm":
        """Offer the kinds of cost a piece has, or those of the shop."""
        self.kind.choices = words_of(kinds_for(piece_id), lambda kind: COST_WORDS[kind])
        return self

    @property
    def has_receipt(self) -> bool:
        """Whether a file was chosen; it must be chosen again when the page comes back."""
        return bool(self.receipt.data and self.receipt.data.filename)

    def new_cost(self, piece_id: int | None) -> NewCost:
        """The cost as it was typed, without its receipt."""
        return NewCost(
            piece_id=piece_id,
            kind=CostKind(self.kind.data),
            amount_cents=self.amount.data,
            on_date=self.on_date.data,
            bought_at=self.bought_at.data,
            note=self.note.data,
        )
