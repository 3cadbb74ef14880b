"""Forms for recording a sale or a return and for striking one out."""

from collections.abc import Iterable
from typing import Self

from wtforms import HiddenField, RadioField, SelectField
from wtforms.validators import DataRequired, ValidationError

from app.basics.dates import Month
from app.basics.words import LINE_LIMIT, NAME_LIMIT, REASON_LIMIT
from app.pieces.rules import Stage
from app.sales.rules import RETURN_STAGES, NewReturn, NewSale
from app.web.answers import AnswersForm
from app.web.forms import DayField, Form, LineField, MoneyField, words_of

LONGEST_AMOUNT = 15
NO_CHANNEL = ("", "None of these")
STAGES_TO_COME_BACK_TO = words_of([stage.value for stage in RETURN_STAGES], str.capitalize)


class SellForm(AnswersForm):
    sold_on = DayField("Sold on", [DataRequired("Say on which day it was sold.")])
    channel = RadioField("Sold through", default="", validate_choice=False)
    price = MoneyField("Price", [DataRequired("Type what it sold for.")])
    delivery_charged = MoneyField("Delivery charged to the buyer")
    delivery_paid = MoneyField("Delivery you paid for")
    fees = MoneyField("Fees the channel takes")
    tax = MoneyField("Sales tax collected")
    buyer_name = LineField("Buyer's name", limit=NAME_LIMIT)
    note = LineField("Note", limit=LINE_LIMIT)
    # The fee that was proposed and shown, so that exactly that is saved.
    agreed_fees = HiddenField()

    def validate_channel(self, field: RadioField) -> None:
        """Refuse a channel that is not among the ones shown."""
        if field.data not in {value for value, _label in field.choices}:
            raise ValidationError("Choose from the channels shown.")

    @property
    def channel_id(self) -> int | None:
        """The number of the channel chosen, if one was."""
        return int(self.channel.data) if self.channel.data else None

    def fees_cents(self, proposed: int) -> int:
        """The fees typed, or those proposed when the box is empty."""
        return proposed if self.fees.data is None else self.fees.data

    def agreed_fees_cents(self, proposed: int) -> int:
        """The fees as they stood on the page that showed the answers; those proposed when that is lost."""
        agreed = str(self.agreed_fees.data or "")
        is_amount = agreed.isascii() and agreed.isdigit() and len(agreed) <= LONGEST_AMOUNT
        return self.fees_cents(int(agreed) if is_amount else proposed)

    def agree_on(self, fees_cents: int) -> None:
        """Carry the fees that are shown now."""
        self.agreed_fees.data = str(fees_cents)
        self.agreed_fees.raw_data = None

    def new_sale(self, piece_id: int, fees_cents: int) -> NewSale:
        """The sale as it was told; empty amounts are nothing."""
        return NewSale(
            piece_id=piece_id,
            sold_on=self.sold_on.data,
            channel_id=self.channel_id,
            price_cents=self.price.data,
            delivery_charged_cents=self.delivery_charged.data or 0,
            delivery_paid_cents=self.delivery_paid.data or 0,
            fees_cents=fees_cents,
            tax_cents=self.tax.data or 0,
            buyer_name=self.buyer_name.data,
            note=self.note.data,
        )


class ReturnForm(AnswersForm):
    returned_on = DayField("Came back on", [DataRequired("Say on which day it came back.")])
    refund = MoneyField("Refunded to the buyer")
    tax_refunded = MoneyField("Sales tax given back")
    fees_back = MoneyField("Fees the channel gave back")
    delivery_back = MoneyField("Delivery you got back")
    reason = LineField(
        "Why it came back", [DataRequired("Say why it came back; a few words will do.")], limit=REASON_LIMIT
    )
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


class StrikeForm(Form):
    reason = LineField(
        "What was wrong", [DataRequired("Say what was wrong with it; a few words will do.")], limit=REASON_LIMIT
    )


class MonthForm(Form):
    month = SelectField("Month")

    def offer_months(self, months: Iterable[Month]) -> Self:
        """Offer all time and each of the months."""
        self.month.choices = [("", "All time"), *((str(month), month.name) for month in months)]
        return self
