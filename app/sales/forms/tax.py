"""Forms for keeping the places of sales tax and their rates."""

from wtforms import BooleanField, RadioField
from wtforms.validators import DataRequired, ValidationError

from app.basics.words import NAME_LIMIT
from app.sales.rules import BASIS_WORDS, TaxBasis
from app.web.forms import DayField, Form, LineField, RateField, VersionedForm, required

WAYS_TO_ROUND = [(basis.value, words) for basis, words in BASIS_WORDS.items()]
RATE_NEEDED = "Type the rate; 0 where nothing is due."
DAY_NEEDED = "Say from which day on."


class RoundedForm(Form):
    """What a place of sales tax is called and how its tax is rounded."""

    name = LineField("Name", [DataRequired("Give the place a name, like the county or the town.")], limit=NAME_LIMIT)
    basis = RadioField("Rounded to the cent", default=TaxBasis.INVOICE.value, validate_choice=False)

    def validate_basis(self, field: RadioField) -> None:
        """Refuse a way of rounding nobody knows."""
        if field.data not in set(TaxBasis):
            raise ValidationError("Choose what the tax is rounded on.")

    @property
    def basis_chosen(self) -> TaxBasis:
        """What the tax is rounded on."""
        return TaxBasis(self.basis.data)


class PlaceForm(RoundedForm):
    """A new place of sales tax with its first rate."""

    rate = RateField("Rate, in percent", [required(RATE_NEEDED)], render_kw={"inputmode": "decimal"})
    from_date = DayField("From", [DataRequired(DAY_NEEDED)])


class CorrectPlaceForm(VersionedForm, RoundedForm):
    """A place of sales tax put right, or put away."""

    put_away = BooleanField("Put away: no longer offered when selling")


class RateForm(Form):
    """The rate of a place from a day on."""

    rate = RateField("Rate, in percent", [required(RATE_NEEDED)], render_kw={"inputmode": "decimal"})
    from_date = DayField("From", [DataRequired(DAY_NEEDED)])
