"""The form that puts the shop's facts right."""

from dataclasses import replace

from wtforms import RadioField, SelectField

from app.basics.quantities import Units
from app.basics.words import NAME_LIMIT
from app.desk.forms.start import unit_choices
from app.pieces.forms.fields import NumberField
from app.shop.rules import ShopFacts
from app.web.forms import LineField, VersionedForm, required


class ShopFactsForm(VersionedForm):
    """What may be put right once the books have begun; currency and start date stay."""

    name = LineField("Name of your shop", [required("Give your shop a name.")], limit=NAME_LIMIT)
    time_zone = SelectField("Time zone")
    units = RadioField("Measure in", choices=unit_choices)
    sits_too_long_days = NumberField(
        "A piece sits too long after",
        [required("Give a number of days.")],
        description="Today and the books name pieces that have been on the floor this long or longer.",
    )

    def facts(self, present: ShopFacts) -> ShopFacts:
        """The facts as filled in, over what stands now; the version is the one the form was made on."""
        return replace(
            present,
            name=self.name.data,
            time_zone=self.time_zone.data,
            units=Units(self.units.data),
            sits_too_long_days=self.sits_too_long_days.data,
            version=self.version_number,
        )
