"""Forms for what is given back on a sale, and for striking out."""

from wtforms import RadioField
from wtforms.validators import DataRequired, ValidationError

from app.basics.words import REASON_LIMIT
from app.pieces.rules import Stage
from app.sales.rules import (
    RETURN_STAGES,
    WHY_IT_CAME_BACK,
    WHY_REFUNDED,
    NewRefund,
    NewReturn,
    SaleMoney,
    tax_with_refund,
)
from app.web.answers import AnswersForm
from app.web.forms import DayField, Form, LineField, MoneyField, words_of

STAGES_TO_COME_BACK_TO = words_of([stage.value for stage in RETURN_STAGES], str.capitalize)


class ReturnForm(AnswersForm):
    """What was given back for a sale that came back."""

    returned_on = DayField("Came back on", [DataRequired("Say on which day it came back.")])
    refund = MoneyField("Refunded to the buyer")
    tax_refunded = MoneyField("Sales tax given back")
    fees_back = MoneyField("Fees the channel gave back")
    delivery_back = MoneyField("Delivery you got back")
    reason = LineField("Why it came back", [DataRequired(WHY_IT_CAME_BACK)], limit=REASON_LIMIT)
    to_stage = RadioField(
        "Where it stands now",
        default=Stage.FINISHED.value,
        validate_choice=False,
    )

    def validate_to_stage(self, field: RadioField) -> None:
        """Refuse a stage a piece cannot come back to."""
        if field.data not in set(RETURN_STAGES):
            raise ValidationError("Choose where the piece stands now.")

    def new_return(self, sale_id: int) -> NewReturn:
        """The return as it was told; empty amounts are nothing."""
        return NewReturn(
            sale_id=sale_id,
            returned_on=self.returned_on.data,
            refund_cents=self.refund.data or 0,
            tax_refunded_cents=self.tax_refunded.data or 0,
            fees_back_cents=self.fees_back.data or 0,
            delivery_back_cents=self.delivery_back.data or 0,
            reason=self.reason.data,
            to_stage=Stage(self.to_stage.data),
        )


class RefundForm(Form):
    """What was given back on a sale that stands."""

    refund = MoneyField("Given back of the price", [DataRequired("Type how much of the price was given back.")])
    on_date = DayField("On", [DataRequired("Say on which day it was given back.")])
    reason = LineField("Why", [DataRequired(WHY_REFUNDED)], limit=REASON_LIMIT)
    tax_refunded = MoneyField("Sales tax given back")
    fees_back = MoneyField("Fees the channel gave back")

    def new_refund(self, sale_id: int, money: SaleMoney) -> NewRefund:
        """The refund as it was told; where nothing was said of the tax, the part of it that goes with the refund."""
        tax = self.tax_refunded.data
        return NewRefund(
            sale_id=sale_id,
            on_date=self.on_date.data,
            refund_cents=self.refund.data,
            tax_refunded_cents=tax_with_refund(self.refund.data, money) if tax is None else tax,
            fees_back_cents=self.fees_back.data or 0,
            reason=self.reason.data,
        )


class StrikeForm(Form):
    """Asks what was wrong with a row that is struck out."""

    reason = LineField(
        "What was wrong", [DataRequired("Say what was wrong with it; a few words will do.")], limit=REASON_LIMIT
    )
