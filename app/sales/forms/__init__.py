"""Forms of sales: selling, giving back, deposits, places of sales tax."""

from app.sales.forms.deposits import WAYS_TO_END, DepositForm, EndForm
from app.sales.forms.giving_back import STAGES_TO_COME_BACK_TO, RefundForm, ReturnForm, StrikeForm
from app.sales.forms.lists import MonthForm
from app.sales.forms.selling import NO_CHANNEL, NO_PLACE, WHO_COLLECTS, SellForm
from app.sales.forms.tax import WAYS_TO_ROUND, CorrectPlaceForm, PlaceForm, RateForm

__all__ = [
    "NO_CHANNEL",
    "NO_PLACE",
    "STAGES_TO_COME_BACK_TO",
    "WAYS_TO_END",
    "WAYS_TO_ROUND",
    "WHO_COLLECTS",
    "CorrectPlaceForm",
    "DepositForm",
    "EndForm",
    "MonthForm",
    "PlaceForm",
    "RateForm",
    "RefundForm",
    "ReturnForm",
    "SellForm",
    "StrikeForm",
]
