"""The form that closes a month."""

from wtforms import BooleanField, HiddenField
from wtforms.validators import InputRequired

from app.basics.dates import Month
from app.web.forms import Form


class CloseForm(Form):
    """Names the month to be closed, so that a page left open does not close the one after it."""

    month = HiddenField()
    agreed = BooleanField("I have looked at these figures", [InputRequired("Say that you have looked at the figures.")])

    def named(self) -> Month:
        """The month the form was made for; refuses what is no month (RuleError)."""
        return Month.parse(self.month.data or "")
