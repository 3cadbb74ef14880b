"""The form that narrows the list of sales."""

from collections.abc import Iterable
from typing import Self

from wtforms import SelectField

from app.basics.dates import Month
from app.web.forms import Form


class MonthForm(Form):
    """Which month of sales is shown."""

    month = SelectField("Month")

    def offer_months(self, months: Iterable[Month]) -> Self:
        """Offer all time and each of the months."""
        self.month.choices = [("", "All time"), *((str(month), month.name) for month in months)]
        return self
