"""Forms for writing a trip down, for an own mileage rate and for the year of the car."""

from collections.abc import Iterable

from wtforms import FileField, RadioField, SelectMultipleField
from wtforms.validators import DataRequired

from app.basics.words import LINE_LIMIT
from app.photos.forms import ACCEPTED
from app.trips.rules import (
    COUNTS_WORDS,
    PLACE_LIMIT,
    PURPOSE_WORDS,
    UNIT_WORDS,
    CarFacts,
    CountsAs,
    Distance,
    DistanceUnit,
    MileageRateFacts,
    NewTrip,
    TripPurpose,
    parse_distance,
    parse_hundredths,
    parse_rate,
    rate_plain,
    usual_unit,
)
from app.web.answers import AnswersForm
from app.web.forms import DayField, Form, LineField, MoneyField, ReadField, VersionedForm, required, words_of
from app.web.frame import frame

PLACES_LIST = "places-gone-to"
PURPOSES_LIST = "purposes-said"
EQUALLY, BY_VALUE = "equally", "by_value"
SHARING_WORDS = {EQUALLY: "The same for each", BY_VALUE: "By what was paid for each"}
DECIMAL = {"inputmode": "decimal", "autocomplete": "off"}


def purpose_choices() -> list[tuple[str, str]]:
    """What a trip may be for."""
    return words_of(TripPurpose, lambda purpose: PURPOSE_WORDS[purpose])


def counting_choices() -> list[tuple[str, str]]:
    """How a trip may count."""
    return words_of(CountsAs, lambda way: COUNTS_WORDS[way])


def sharing_choices() -> list[tuple[str, str]]:
    """How its pieces may share a trip."""
    return list(SHARING_WORDS.items())


def unit_choices() -> list[tuple[str, str]]:
    """In what a car's year may be counted."""
    return [(DistanceUnit.MILE.value, "miles"), (DistanceUnit.KM.value, "kilometres")]


def rate_unit_choices() -> list[tuple[str, str]]:
    """For what a rate may be."""
    return words_of(DistanceUnit, lambda unit: UNIT_WORDS[unit])


class DistanceField(ReadField):
    """A distance: a number in the shop's unit, or one with its unit behind it; data is a `Distance`."""

    def read(self, text: str) -> Distance:
        """The distance as typed."""
        return parse_distance(text, usual_unit(frame().units))

    def plain(self, value: Distance) -> str:
        """Its number, and its unit where that is not the shop's."""
        return value.plain if value.unit is usual_unit(frame().units) else f"{value.plain} {value.unit.value}"


class RateField(ReadField):
    """A rate for one mile or km as money; data is hundredths of a minor unit."""

    def read(self, text: str) -> int:
        """Hundredths of a minor unit of the shop's currency."""
        return parse_rate(text, frame().places)

    def plain(self, value: int) -> str:
        """Digits with a point."""
        return rate_plain(value, frame().places)


class NumberField(ReadField):
    """How far, as a bare number whose unit is asked for beside it; data is hundredths."""

    def read(self, text: str) -> int:
        """Hundredths of whatever unit is chosen."""
        return parse_hundredths(text)

    def plain(self, value: int) -> str:
        """Digits with a point."""
        return Distance(value, DistanceUnit.MILE).plain


class TripForm(Form):
    purpose = RadioField(
        "What for",
        [required("Choose what sort of trip it was.")],
        choices=purpose_choices,
    )
    purpose_words = LineField(
        "Purpose in words",
        [DataRequired("Say what it was for: the tax log asks for the purpose.")],
        render_kw={"list": PURPOSES_LIST, "autocomplete": "off"},
    )
    from_place = LineField(
        "From",
        [DataRequired("Say from where it went.")],
        limit=PLACE_LIMIT,
        render_kw={"list": PLACES_LIST, "autocomplete": "off"},
    )
    to_place = LineField(
        "To",
        [DataRequired("Say where it went to.")],
        limit=PLACE_LIMIT,
        render_kw={"list": PLACES_LIST, "autocomplete": "off"},
    )
    distance = DistanceField("Distance", [DataRequired("Type how far it was.")], render_kw={"autocomplete": "off"})
    on_date = DayField("Date", [DataRequired("Say on which day it was.")])
    # A tag that is no piece of this shop is refused by the ledger, in its own words.
    pieces = SelectMultipleField("For which pieces", validate_choice=False)
    typed = LineField("Other pieces", limit=LINE_LIMIT, render_kw={"autocomplete": "off"})
    sharing = RadioField("Shared among them", choices=sharing_choices, default=EQUALLY)
    counts_as = RadioField("Counts", choices=counting_choices, default=CountsAs.RATE.value)
    extra = MoneyField("Tolls and parking")
    actual = MoneyField("What it really cost")
    note = LineField("Note", limit=LINE_LIMIT)
    receipt = FileField("Photo of the receipt", render_kw={"accept": ACCEPTED})

    def offer_pieces(self, pieces: Iterable[tuple[str, str]]) -> "TripForm":
        """Offer the pieces given as tag and name."""
        self.pieces.choices = [(tag, f"{name} · {tag}") for tag, name in pieces]
        return self

    @property
    def tags(self) -> list[str]:
        """The tags that were chosen."""
        return [tag.strip() for tag in self.pieces.data or ()]

    @property
    def has_receipt(self) -> bool:
        """Whether a file was chosen; it must be chosen again when the page comes back."""
        return bool(self.receipt.data and self.receipt.data.filename)

    def new_trip(self, piece_ids: tuple[int, ...]) -> NewTrip:
        """The trip as it was typed, without its receipt; an empty amount is nothing."""
        return NewTrip(
            on_date=self.on_date.data,
            purpose=TripPurpose(self.purpose.data),
            purpose_words=self.purpose_words.data,
            from_place=self.from_place.data,
            to_place=self.to_place.data,
            distance=self.distance.data,
            counts_as=CountsAs(self.counts_as.data),
            piece_ids=piece_ids,
            by_value=self.sharing.data == BY_VALUE,
            extra_cents=self.extra.data or 0,
            actual_cents=self.actual.data or 0,
            note=self.note.data,
        )


class OwnRateForm(AnswersForm):
    rate = RateField("Rate", [DataRequired("Type the rate.")], render_kw=DECIMAL)
    unit = RadioField("For one", [required("Choose for what it is.")], choices=rate_unit_choices)
    from_date = DayField("From", [DataRequired("Say from which day it holds.")], starts_today=False)
    until_date = DayField("Until", [DataRequired("Say until which day it holds.")], starts_today=False)
    source = LineField("Where it is from", [DataRequired("Say where the rate is from.")], limit=LINE_LIMIT)

    def new_rate(self) -> MileageRateFacts:
        """The rate as it was typed."""
        return MileageRateFacts(
            from_date=self.from_date.data,
            until_date=self.until_date.data,
            hundredths=self.rate.data,
            unit=DistanceUnit(self.unit.data),
            source=self.source.data,
        )


class CarForm(VersionedForm):
    unit = RadioField("Counted in", [required("Choose miles or kilometres.")], choices=unit_choices)
    total = NumberField("All it ran this year", [DataRequired("Type how far it ran in all.")], render_kw=DECIMAL)
    commuting = NumberField("Of that, to other work and back", render_kw=DECIMAL)
    in_service_on = DayField("In use for the shop since", starts_today=False)

    @property
    def version_said(self) -> int | None:
        """The version the form was made on; None where nothing was said then."""
        return self.version_number if self.version_number >= 0 else None

    def facts(self, year: int) -> CarFacts:
        """What was said of the year."""
        return CarFacts(
            year=year,
            unit=DistanceUnit(self.unit.data),
            total_hundredths=self.total.data,
            commuting_hundredths=self.commuting.data or 0,
            in_service_on=self.in_service_on.data,
        )
