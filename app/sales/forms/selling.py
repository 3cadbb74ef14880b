"""The form for recording a sale."""

from dataclasses import replace

from wtforms import HiddenField, RadioField, SelectMultipleField
from wtforms.validators import DataRequired, ValidationError

from app.basics.quantities import RATE_WHOLE
from app.basics.words import LINE_LIMIT, NAME_LIMIT
from app.sales.rules import (
    TAX_BY_WORDS,
    NewSale,
    PlaceOfTax,
    TaxBasis,
    TaxBy,
    TaxOfSale,
    TaxSaid,
    tax_of_sale,
)
from app.web.answers import AnswersForm
from app.web.forms import DayField, LineField, MoneyField

LONGEST_AMOUNT = 15
NO_CHANNEL = ("", "None of these")
NO_PLACE = ("", "No place")
WHO_COLLECTS = [(by.value, words) for by, words in TAX_BY_WORDS.items()]


class SellForm(AnswersForm):
    """What a piece sold for, and all that belongs to the sale."""

    sold_on = DayField("Sold on", [DataRequired("Say on which day it was sold.")])
    channel = RadioField("Sold through", default="", validate_choice=False)
    price = MoneyField("Price", [DataRequired("Type what it sold for.")])
    delivery_charged = MoneyField("Delivery charged to the buyer")
    delivery_paid = MoneyField("Delivery you paid for")
    fees = MoneyField("Fees the channel takes")
    tax_place = RadioField("Where the tax is for", default="", validate_choice=False)
    tax_by = RadioField("Who collects the tax", default=TaxBy.SHOP.value, validate_choice=False)
    tax = MoneyField("Sales tax collected")
    untaxed_reason = LineField("Why no tax is due", limit=LINE_LIMIT)
    deposits = SelectMultipleField("Deposits to apply", validate_choice=False)
    buyer_name = LineField("Buyer's name", limit=NAME_LIMIT)
    note = LineField("Note", limit=LINE_LIMIT)
    # The fee that was proposed and the rate the tax was worked out at, as shown, so that exactly that is saved.
    agreed_fees = HiddenField()
    agreed_rate = HiddenField()

    def validate_channel(self, field: RadioField) -> None:
        """Refuse a channel that is not among the ones shown."""
        if field.data not in {value for value, _label in field.choices}:
            raise ValidationError("Choose from the channels shown.")

    def validate_tax_place(self, field: RadioField) -> None:
        """Refuse a place that is not among the ones shown."""
        if field.data not in {value for value, _label in field.choices}:
            raise ValidationError("Choose from the places shown.")

    def validate_tax_by(self, field: RadioField) -> None:
        """Refuse a collector nobody knows."""
        if field.data not in set(TaxBy):
            raise ValidationError("Choose who collects the tax.")

    def validate_deposits(self, field: SelectMultipleField) -> None:
        """Refuse a deposit that is not among the ones shown."""
        if not {value for value, _label in field.choices}.issuperset(field.data or ()):
            raise ValidationError("A deposit chosen here stands no more. Look at the deposits again.")

    @property
    def channel_id(self) -> int | None:
        """The number of the channel chosen, if one was."""
        return int(self.channel.data) if self.channel.data else None

    @property
    def tax_place_id(self) -> int | None:
        """The number of the place of sales tax chosen, if one was."""
        return int(self.tax_place.data) if self.tax_place.data else None

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

    def agreed_place(self, found: PlaceOfTax | None) -> PlaceOfTax | None:
        """The place of sales tax at the rate that was shown; as it is now when that is lost."""
        rate, _space, basis = str(self.agreed_rate.data or "").partition(" ")
        is_rate = rate.isascii() and rate.isdigit() and len(rate) <= LONGEST_AMOUNT and int(rate) <= RATE_WHOLE
        if found is None or not is_rate or basis not in set(TaxBasis):
            return found
        return replace(found, rate_ppm=int(rate), basis=TaxBasis(basis))

    def agree_on_rate(self, place: PlaceOfTax | None) -> None:
        """Carry the rate and the rounding that are shown now."""
        is_known = place is not None and place.rate_ppm is not None
        self.agreed_rate.data = f"{place.rate_ppm} {place.basis}" if place and is_known else ""
        self.agreed_rate.raw_data = None

    def tax_of(self, place: PlaceOfTax | None) -> TaxOfSale:
        """The tax as it was told for a place; refuses what contradicts itself (RuleError, at the field)."""
        said = TaxSaid(TaxBy(self.tax_by.data), place, self.tax.data, self.untaxed_reason.data)
        return tax_of_sale(said, self.price.data, self.delivery_charged.data or 0, self.sold_on.data)

    def new_sale(self, piece_id: int, fees_cents: int, tax: TaxOfSale) -> NewSale:
        """The sale as it was told; empty amounts are nothing."""
        return NewSale(
            piece_id=piece_id,
            sold_on=self.sold_on.data,
            channel_id=self.channel_id,
            price_cents=self.price.data,
            delivery_charged_cents=self.delivery_charged.data or 0,
            delivery_paid_cents=self.delivery_paid.data or 0,
            fees_cents=fees_cents,
            tax_cents=tax.tax_cents,
            buyer_name=self.buyer_name.data,
            note=self.note.data,
            tax_place_id=tax.place_id,
            tax_rate_ppm=tax.rate_ppm,
            tax_basis=tax.basis,
            channel_tax_cents=tax.channel_tax_cents,
            untaxed_reason=tax.untaxed_reason,
            deposit_ids=tuple(int(value) for value in dict.fromkeys(self.deposits.data or ())),
        )
