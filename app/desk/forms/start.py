"""Forms of the first start and of the shop's facts."""

from wtforms import RadioField, SelectField

from app.basics.quantities import Units
from app.basics.words import NAME_LIMIT
from app.shop.rules import DEFAULT_SITS_TOO_LONG_DAYS, ShopFacts
from app.web.forms import DayField, Form, LineField, required


def unit_choices() -> list[tuple[str, str]]:
    """How lengths are typed and shown."""
    return [(Units.IMPERIAL.value, "Inches"), (Units.METRIC.value, "Centimetres")]


class StartForm(Form):
    """What a new shop is called, what it reckons in and from when its books count."""

    name = LineField(
        "Name of your shop", [required("Give your shop a name; you can change it later.")], limit=NAME_LIMIT
    )
    currency = SelectField("Currency", default="USD", description="It cannot change once the books have begun.")
    time_zone = SelectField("Time zone", default="America/New_York")
    units = RadioField("Measure in", choices=unit_choices, default=Units.IMPERIAL.value)
    started_on = DayField(
        "The books begin on",
        [required("Give the day your books begin.")],
        description="What you own on this day can be entered next. What came before it stays in your old books.",
    )

    def facts(self) -> ShopFacts:
        """The shop's facts as filled in."""
        return ShopFacts(
            name=self.name.data,
            currency=self.currency.data,
            time_zone=self.time_zone.data,
            units=Units(self.units.data),
            started_on=self.started_on.data,
            sits_too_long_days=DEFAULT_SITS_TOO_LONG_DAYS,
        )
