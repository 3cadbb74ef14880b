"""Forms of the small sums: parts of a mix, shellac cuts, coverage from solids, the air."""

from types import MappingProxyType
from typing import Self

from wtforms import RadioField, SelectField

from app.basics.errors import RuleError
from app.recipes.forms.fields import HumidityField, TemperatureField
from app.recipes.forms.reading import (
    AmountField,
    FilmField,
    RatioField,
    SumForm,
    VolumeField,
    WeightField,
)
from app.recipes.rules import BASE_WORDS, WAY_WORDS, Base, Ratio, Way, require_share
from app.recipes.rules.sums import (
    AirAnswer,
    CoverageAnswer,
    MixAnswer,
    ShellacAnswer,
    air_answer,
    coverage_answer,
    mix_answer,
    shellac_answer,
)
from app.web.forms import PercentField, required, words_of
from app.web.frame import frame

HOW_MUCH_NEEDED = "Say how much to make, or how much of one part you have."
TENTHS = 10
PLACES = ("First part", "Second part", "Third part", "Fourth part")
PAINT_AND_WATER = ("Paint", "Water")


def place_words(ratio: Ratio | None) -> tuple[str, ...]:
    """What the parts of a mix are called: paint and water where it is two, else by their place."""
    is_wash = ratio is not None and len(ratio.parts) == len(PAINT_AND_WATER) and not ratio.thin_hundredths
    return (*PAINT_AND_WATER, *PLACES[2:]) if is_wash else PLACES


def base_choices() -> list[tuple[str, str]]:
    """What a coating may be made on."""
    return words_of(BASE_WORDS, lambda base: BASE_WORDS[base])


def way_choices() -> list[tuple[str, str]]:
    """The ways of putting a coating on, and none of them."""
    return [("", "Not reckoned in"), *words_of(WAY_WORDS, lambda way: WAY_WORDS[way])]


def film_choices() -> list[tuple[str, str]]:
    """When the film is measured."""
    return [("dry", "Dry"), ("wet", "Wet")]


class PartsForm(SumForm):
    """Mixes by parts: to a total, or from what is in hand of one part."""

    start = MappingProxyType({"ratio": "1:4", "of": "0"})

    ratio = RatioField("Parts", [required("Type the parts, like 1:4.")])
    total = VolumeField("How much to make")
    have = VolumeField("Or what you have")
    of = SelectField("Of which part")

    @classmethod
    def from_address(cls) -> Self:
        """As every sum; the parts to choose of are called by what is mixed."""
        form = super().from_address()
        form.offer("of", [(str(place), words) for place, words in enumerate(place_words(form.ratio.data))])
        return form

    def answer(self) -> MixAnswer:
        """The mix; refuses neither and both amounts (RuleError)."""
        if (self.total.data is None) == (self.have.data is None):
            both = "Type one of the two: how much to make, or what you have."
            raise RuleError(HOW_MUCH_NEEDED if self.total.data is None else both, "total")
        return mix_answer(self.ratio.data, self.total.data, self.have.data, int(self.of.data), frame().units)


class ShellacForm(SumForm):
    """Dissolves flake, or thins what is dissolved."""

    start = MappingProxyType({"cut": "2"})

    cut = AmountField(
        "Cut",
        [required("Type the cut, like 2.")],
        word="cut",
        example="2 or 1.5",
        description="Pounds to the gallon.",
    )
    alcohol = VolumeField("Alcohol")
    flakes = WeightField("Or flake you have")
    stock = VolumeField("Liquid shellac of that cut")
    weaker = AmountField("Thin it to a cut of", word="cut", example="1 or 1.5")

    def answer(self) -> ShellacAnswer:
        """What to weigh out or pour; refuses when there is nothing to dissolve or thin (RuleError)."""
        if self.alcohol.data is not None and self.flakes.data is not None:
            raise RuleError("Type one of the two: the alcohol, or the flake you have.", "alcohol")
        if self.stock.data is not None and self.weaker.data is None:
            raise RuleError("Type the cut it is to be thinned to.", "weaker")
        if self.alcohol.data is None and self.flakes.data is None and self.stock.data is None:
            raise RuleError("Type how much alcohol or flake you have, or the shellac to thin.", "alcohol")
        return shellac_answer(
            self.cut.data, self.alcohol.data, self.flakes.data, self.stock.data, self.weaker.data, units=frame().units
        )


class CoverageForm(SumForm):
    """Coverage from solids by volume and film."""

    start = MappingProxyType({"state": "dry", "way": ""})

    solids = PercentField("Solids by volume", [required("Type the solids by volume, like 38.")])
    film = FilmField("Film", [required("Type how thick the film is.")])
    state = RadioField("Measured", choices=film_choices)
    thin = PercentField("Thinned by")
    loss = PercentField("Lost")
    way = SelectField("Put on with", choices=way_choices)

    def answer(self) -> CoverageAnswer:
        """How far it goes; refuses a loss together with a way of putting it on (RuleError)."""
        return coverage_answer(
            require_share(self.solids.data),
            self.film.data,
            is_wet=self.state.data == "wet",
            thin_hundredths=self.thin.data or 0,
            loss=None if self.loss.data is None else require_share(self.loss.data),
            way=Way(self.way.data) if self.way.data else None,
            units=frame().units,
        )


class AirForm(SumForm):
    """The air in the shop, and what is to be coated with."""

    start = MappingProxyType({"base": Base.WATERBORNE.value})

    temperature = TemperatureField("Temperature", [required("Type the temperature of the air.")])
    humidity = HumidityField("Humidity", [required("Type the humidity, like 50.")])
    surface = TemperatureField("Temperature of the piece")
    base = RadioField("What you coat with", choices=base_choices)

    def answer(self) -> AirAnswer:
        """What the air says; refuses what no meter shows (RuleError)."""
        surface = None if self.surface.data is None else self.surface.data / TENTHS
        return air_answer(
            self.temperature.data / TENTHS, self.humidity.data, surface, Base(self.base.data), frame().units
        )
