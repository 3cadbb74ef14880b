"""Forms for taking a deposit and for saying what became of it."""

from wtforms import RadioField
from wtforms.validators import DataRequired, ValidationError

from app.basics.words import LINE_LIMIT, NAME_LIMIT, REASON_LIMIT
from app.sales.rules import BY_HAND, ENDING_WORDS, DepositEnding, NewDeposit, NewEnd
from app.web.forms import DayField, Form, LineField, MoneyField

WAYS_TO_END = [(how.value, ENDING_WORDS[how]) for how in BY_HAND]


class DepositForm(Form):
    """Who paid a deposit, how much and when."""

    payer = LineField("Who paid it", [DataRequired("Say who paid it.")], limit=NAME_LIMIT)
    amount = MoneyField("How much", [DataRequired("Type how much was paid.")])
    on_date = DayField("Paid on", [DataRequired("Say on which day it was paid.")])
    note = LineField("Note", limit=LINE_LIMIT)

    def new_deposit(self, piece_id: int) -> NewDeposit:
        """The deposit as it was told."""
        return NewDeposit(
            piece_id=piece_id,
            payer=self.payer.data,
            on_date=self.on_date.data,
            amount_cents=self.amount.data,
            note=self.note.data,
        )


class EndForm(Form):
    """Whether a deposit is given back or kept, and how much of it."""

    how = RadioField("What becomes of it", validate_choice=False)
    amount = MoneyField("How much of it", [DataRequired("Type how much of it.")])
    on_date = DayField("On", [DataRequired("Say on which day.")])
    reason = LineField("Why", limit=REASON_LIMIT)

    def validate_how(self, field: RadioField) -> None:
        """Refuse what nobody can do with a deposit by hand."""
        if field.data not in set(BY_HAND):
            raise ValidationError("Choose whether it is given back or kept.")

    def new_end(self, deposit_id: int) -> NewEnd:
        """What becomes of it, as it was told."""
        return NewEnd(
            deposit_id=deposit_id,
            how=DepositEnding(self.how.data),
            on_date=self.on_date.data,
            cents=self.amount.data,
            reason=self.reason.data,
        )
