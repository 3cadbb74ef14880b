"""Thinning, diluting and filling a jar, worked out and put into words in the shop's units and the others."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from app.basics.money import half_up
from app.basics.quantities import Units, format_percent
from app.recipes.rules.mixing import (
    MOST_WATER_HUNDREDTHS,
    Number,
    dilute,
    scale_mix,
    thin,
    thin_to_volume,
    thinned_solids,
)
from app.recipes.rules.sums.showing import Shown, amount_shown, amounts_shown
from app.shelf.rules import Unit


@dataclass(frozen=True)
class ThinnedPaint:
    """Paint and thinner with what they make; `is_much` from where water weakens a full coat of waterborne paint.

    `solids` is what of the mix's volume stays as film, in words; nothing where the paint's own was not said.
    """

    by: str
    paint: Shown
    thinner: Shown
    total: Shown
    solids: str
    is_much: bool


def thinned_paint(
    paint_ml: Number | None, total_ml: Number | None, hundredths: int, solids: Fraction | None, units: Units
) -> ThinnedPaint:
    """Paint in hand thinned by a share of itself, or, without it, thinned so that both come to the total.

    Refuses what `thin` and `thin_to_volume` refuse (RuleError).
    """
    mix = thin_to_volume(total_ml or 0, hundredths) if paint_ml is None else thin(paint_ml, hundredths)
    paint, thinner = amounts_shown([mix.paint, mix.thinner], Unit.ML, units)
    total = amount_shown(mix.total, Unit.ML, units)
    stays = "" if solids is None else format_percent(half_up(thinned_solids(solids, hundredths) * 10_000))
    return ThinnedPaint(
        format_percent(hundredths), paint, thinner, total, stays, is_much=hundredths > MOST_WATER_HUNDREDTHS
    )


@dataclass(frozen=True)
class Diluted:
    """A concentrate and what is added to it, with what they make, and both strengths in words."""

    strong: str
    weak: str
    stock: Shown
    added: Shown
    total: Shown


def diluted(stock_ml: Number, strong_hundredths: int, weak_hundredths: int, units: Units) -> Diluted:
    """A concentrate brought from one strength to a weaker one; refuses what `dilute` refuses (RuleError)."""
    added = dilute(stock_ml, strong_hundredths, weak_hundredths)
    stock_shown, added_shown = amounts_shown([stock_ml, added], Unit.ML, units)
    total = amount_shown(stock_ml + added, Unit.ML, units)
    return Diluted(format_percent(strong_hundredths), format_percent(weak_hundredths), stock_shown, added_shown, total)


@dataclass(frozen=True)
class Scaled:
    """A mix made to fill a jar: each part by its name with how much of it goes in now, and the jar."""

    parts: tuple[tuple[str, Shown], ...]
    jar: Shown


def scaled(amounts_ml: Mapping[str, Number], jar_ml: Number, units: Units) -> Scaled:
    """Parts that were mixed once, made larger or smaller to fill a jar; refuses what `scale_mix` does (RuleError)."""
    parts = amounts_shown(scale_mix([*amounts_ml.values()], jar_ml), Unit.ML, units)
    jar = amount_shown(jar_ml, Unit.ML, units)
    return Scaled(tuple(zip(amounts_ml, parts, strict=True)), jar)


@dataclass(frozen=True)
class ThinAnswer:
    """What was asked of thinning, diluting and filling a jar, each None where it was not."""

    thinned: ThinnedPaint | None
    diluted: Diluted | None
    scaled: Scaled | None
