"""Boxes that sums are typed into, and the form whose answers stand in a page's address."""

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, ClassVar, Self, TypeVar

from flask import request
from werkzeug.datastructures import MultiDict
from wtforms import BooleanField, SelectMultipleField

from app.basics.errors import RuleError
from app.recipes.rules import Ratio, parse_ratio
from app.recipes.rules.sums import parse_area, parse_count, parse_film, parse_number
from app.shelf.rules import MILLI, Measure, Unit, measure_words, measures_for, parse_quantity
from app.web.forms import Form, ReadField
from app.web.frame import frame

T = TypeVar("T")

LABEL_RULES = "What the label or the data sheet says goes before every figure here."


class NumberBox(ReadField):
    """A box for a number with or without its unit, read in the shop's units."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        kwargs.setdefault("render_kw", {"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)


class WordsBox(NumberBox):
    """A box whose numbers come with letters or signs, for which the plain keyboard is needed."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        super().__init__(label, validators, render_kw={"autocomplete": "off"}, **kwargs)


class VolumeField(WordsBox):
    """A volume; data is ml. Its label says in what a number alone is read."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        super().__init__(f"{label}, in {measure_words(_usual_measure(Unit.ML))}", validators, **kwargs)

    def read(self, text: str) -> Fraction:
        """Millilitres, exact to the thousandth."""
        return _quantity(text, Unit.ML)


class WeightField(WordsBox):
    """A weight; data is g. Its label says in what a number alone is read."""

    def __init__(self, label: str, validators: Any = (), **kwargs: Any) -> None:
        super().__init__(f"{label}, in {measure_words(_usual_measure(Unit.G))}", validators, **kwargs)

    def read(self, text: str) -> Fraction:
        """Grams, exact to the thousandth."""
        return _quantity(text, Unit.G)


class AreaField(WordsBox):
    """An area; data is cm2."""

    def read(self, text: str) -> Fraction:
        """Square centimetres."""
        return parse_area(text, frame().units)


class FilmField(WordsBox):
    """The thickness of a film; data is micrometres."""

    def read(self, text: str) -> Fraction:
        """Micrometres."""
        return parse_film(text, frame().units)


class RatioField(WordsBox):
    """Parts of a mix; data is a `Ratio`."""

    def read(self, text: str) -> Ratio:
        """The parts as typed."""
        return parse_ratio(text)


class AmountField(NumberBox):
    """A plain number of something; data is a fraction."""

    def __init__(self, label: str, validators: Any = (), *, word: str, example: str, **kwargs: Any) -> None:
        self.word, self.example = word, example
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> Fraction:
        """The number."""
        return parse_number(text, self.word, self.example)


class CountField(NumberBox):
    """A whole number of things, at least one."""

    def __init__(self, label: str, validators: Any = (), *, word: str, most: int, **kwargs: Any) -> None:
        self.word, self.most = word, most
        kwargs.setdefault("render_kw", {"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(label, validators, **kwargs)

    def read(self, text: str) -> int:
        """The number."""
        return parse_count(text, self.word, self.most)


class SumForm(Form):
    """A sum that a page's address asks for: nothing of it is kept, and it can be sent on or kept as a bookmark.

    `start` holds what the boxes say before anybody typed, and where an address says nothing of a box.
    """

    start: ClassVar[Mapping[str, str]] = {}
    is_told = False

    @classmethod
    def from_address(cls) -> Self:
        """The form as the address tells it; `is_told` when it tells anything."""
        names = [field.name for field in cls()]
        told = [(name, value) for name in names for value in request.args.getlist(name)]
        ticked = {field.name for field in cls() if isinstance(field, BooleanField | SelectMultipleField)}
        unsaid = set(cls.start) - {name for name, _value in told} - (ticked if told else set())
        form = cls(MultiDict([*told, *((name, cls.start[name]) for name in sorted(unsaid))]))
        form.is_told = bool(told)
        return form

    def worked_out(self, work: Callable[[], T]) -> T | None:
        """The answer; None before anything was asked, and where something is wrong, which then stands at its box."""
        if not self.is_told or not self.validate():
            return None
        try:
            return work()
        except RuleError as refusal:
            self.refuse(refusal)
            return None


def _quantity(text: str, unit: Unit) -> Fraction:
    return Fraction(parse_quantity(text, unit, _usual_measure(unit)), MILLI)


def _usual_measure(unit: Unit) -> Measure:
    return measures_for(unit, frame().units)[0]
