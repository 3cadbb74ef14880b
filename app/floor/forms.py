"""Forms for listing, pricing, holding, and keeping the channels."""

from wtforms import BooleanField, SelectMultipleField
from wtforms.validators import DataRequired, ValidationError

from app.basics.words import LINE_LIMIT, NAME_LIMIT
from app.web.answers import AnswersForm
from app.web.forms import DayField, Form, LineField, MoneyField, PercentField, VersionedForm

ASKING_NEEDED = "Type the price you ask."
DAY_NEEDED = "Say from which day on."


def show_misread(form: Form, *names: str) -> None:
    """Say at each named field what could not be read there, without asking for what is missing."""
    for name in names:
        form[name].errors = list(form[name].process_errors)


class ChosenChannelsForm(VersionedForm):
    channels = SelectMultipleField(
        "Where it is offered", [DataRequired("Choose at least one channel.")], validate_choice=False
    )

    def validate_channels(self, field: SelectMultipleField) -> None:
        """Refuse a channel that is not among the ones offered."""
        offered = {value for value, _label in field.choices}
        if not offered.issuperset(field.data or ()):
            raise ValidationError("Choose from the channels in use.")

    @property
    def channel_ids(self) -> list[int]:
        """The numbers of the channels chosen."""
        return [int(value) for value in self.channels.data or ()]


class ListForm(AnswersForm, ChosenChannelsForm):
    asking = MoneyField("Asking price", [DataRequired(ASKING_NEEDED)])
    on_date = DayField("On the floor since", [DataRequired(DAY_NEEDED)])
    wanted = MoneyField("What you want to keep")


class PriceForm(AnswersForm):
    asking = MoneyField("New asking price", [DataRequired(ASKING_NEEDED)])
    on_date = DayField("From", [DataRequired(DAY_NEEDED)])
    note = LineField("Why", limit=LINE_LIMIT)
    wanted = MoneyField("What you want to keep")


class HoldForm(Form):
    held_for = LineField("Held for", [DataRequired("Say who it is held for.")], limit=NAME_LIMIT)
    until = DayField("Held until", [DataRequired("Say until which day it is held.")], starts_today=False)
    note = LineField("Note", limit=LINE_LIMIT)


class LiftForm(Form):
    pass


class ChannelForm(Form):
    name = LineField("Name", [DataRequired("Give the channel a name.")], limit=NAME_LIMIT)
    percent = PercentField("Takes of the price, in percent", render_kw={"inputmode": "decimal"})
    fixed = MoneyField("And a fixed fee")


class CorrectChannelForm(VersionedForm):
    name = LineField("Name", [DataRequired("Give the channel a name.")], limit=NAME_LIMIT)
    percent = PercentField("Takes of the price, in percent", render_kw={"inputmode": "decimal"})
    fixed = MoneyField("And a fixed fee")
    put_away = BooleanField("Put away: no longer offered when listing or selling")


class FeeForm(Form):
    from_date = DayField("From", [DataRequired(DAY_NEEDED)])
    percent = PercentField("Takes of the price, in percent", render_kw={"inputmode": "decimal"})
    fixed = MoneyField("And a fixed fee")
    note = LineField("Note", limit=LINE_LIMIT)
