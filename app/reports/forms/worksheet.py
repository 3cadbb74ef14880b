"""What the estimate of self-employment tax asks."""

from wtforms import BooleanField

from app.web.answers import AnswersForm
from app.web.forms import MoneyField


class WagesForm(AnswersForm):
    """Wages from elsewhere, and how to round."""

    other_wages = MoneyField("Wages from elsewhere")
    whole = BooleanField("Round each part to dollars, as on paper")
