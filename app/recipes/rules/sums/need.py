"""How much to mix for a job, worked out and put into words: surface, coats, spread, what is lost, what it costs."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from app.basics.money import half_up
from app.basics.quantities import Units, format_percent
from app.recipes.rules.advice import Advice
from app.recipes.rules.bases import Base
from app.recipes.rules.coverage import (
    CM2_PER_ML,
    COATS_SOURCE,
    RESIDUE_SOURCE,
    SPREADS,
    USUAL_COATS,
    Need,
    cost_of,
    material_needed,
    wet_film_of_spread,
)
from app.recipes.rules.kinds import FILMS
from app.recipes.rules.levels import Level
from app.recipes.rules.mixing import MOST_WATER_HUNDREDTHS, UNMIXED, USUAL_WASH, WASH_SOURCE, Ratio
from app.recipes.rules.products import COMMON_PRACTICE, PRODUCTS, Product
from app.recipes.rules.sums.showing import Shown, amount_shown, amounts_shown, area_shown, film_shown, spread_shown
from app.recipes.rules.transfer import transfer_of
from app.recipes.rules.ways import Way
from app.shelf.rules import Unit

FURTHER_PARTS: Final = ("Third part", "Fourth part")


@dataclass(frozen=True)
class Priced:
    """A material of the shelf: cents for one ml or g, and its label's spread in hundredths of m2 per litre."""

    id: int
    name: str
    unit: Unit
    cents_each: Fraction
    spread_hundredths: int | None = None


@dataclass(frozen=True)
class CoatingJob:
    """What is to be coated with what, and how.

    The area is cm2, the spread on a label cm2 to the ml or g (None where nobody typed it), the residue hundredths of a
    percent; `is_small` is for chairs and the like, `alike` how many pieces the area is of.
    """

    area_cm2: Fraction
    product: Product
    coats: int
    way: Way
    residue_hundredths: int
    ratio: Ratio = UNMIXED
    mixed_with: str = ""
    spread: Fraction | None = None
    is_small: bool = False
    alike: int = 1
    priced: Priced | None = None


@dataclass(frozen=True)
class NeedLine:
    """A step of the sum: what it is, its figure, and where that is from."""

    words: str
    figure: str
    source: str = ""


@dataclass(frozen=True)
class NeedAnswer:
    """How much to mix, each part of it with its name, the sum step by step, and what to look out for."""

    area: Shown
    mixed: Shown
    parts: tuple[tuple[str, Shown], ...]
    lines: tuple[NeedLine, ...]
    cost_cents: int | None
    notes: tuple[Advice, ...]


def need_answer(job: CoatingJob, units: Units) -> NeedAnswer:
    """Work a job out; refuses what `material_needed` refuses (RuleError)."""
    unit = SPREADS[job.product].unit
    rate, source = _spread_of(job)
    transfer = transfer_of(job.way, is_small=job.is_small)
    need = material_needed(
        job.area_cm2, job.coats, rate, transfer.usual, residue_hundredths=job.residue_hundredths, ratio=job.ratio
    )
    amounts = amounts_shown(need.parts, unit, units)
    film = film_shown(wet_film_of_spread(rate), units).own if unit is Unit.ML else ""
    lines = (
        NeedLine("Surface", area_shown(job.area_cm2, units).own, f"{job.alike} alike" if job.alike > 1 else ""),
        NeedLine("Coats", str(job.coats), COATS_SOURCE if job.coats == USUAL_COATS else ""),
        NeedLine("One coat goes", spread_shown(rate, unit, units).own, source + (f"; {film} wet" if film else "")),
        NeedLine("Stays on the piece", format_percent(half_up(transfer.usual * 10_000)), transfer.source),
        NeedLine("Left in can and tool", format_percent(job.residue_hundredths), RESIDUE_SOURCE),
    )
    return NeedAnswer(
        area=area_shown(job.area_cm2, units),
        mixed=amount_shown(need.mixed, unit, units),
        parts=tuple(zip(_names(job), amounts, strict=True)),
        lines=lines,
        cost_cents=_cost(job, need, unit),
        notes=tuple(_notes(job, unit)),
    )


def _spread_of(job: CoatingJob) -> tuple[Fraction, str]:
    """The rate that counts and where it is from: as typed, else by the material's label, else as a rule."""
    spread = SPREADS[job.product]
    if job.spread is not None:
        return job.spread, "as you typed it"
    if job.priced and job.priced.spread_hundredths and spread.unit is job.priced.unit is Unit.ML:
        return Fraction(job.priced.spread_hundredths, 100) * CM2_PER_ML, f"by the label of {job.priced.name}"
    return spread.usual_cm2, spread.source


def _names(job: CoatingJob) -> list[str]:
    is_mixed_wash = job.product is Product.PAINT_WASH and job.ratio != UNMIXED
    first = job.priced.name if job.priced else "Paint" if is_mixed_wash else PRODUCTS[job.product].words
    second = job.mixed_with or "water"
    names = [first, second[:1].upper() + second[1:], *FURTHER_PARTS][: len(job.ratio.parts)]
    return [*names, "Thinner"] if job.ratio.thin_hundredths else names


def _cost(job: CoatingJob, need: Need, unit: Unit) -> int | None:
    """What the first part costs, rounded once; None where no material is chosen or it is measured another way."""
    if job.priced is None or job.priced.unit is not unit:
        return None
    return half_up(cost_of(need.parts[0], job.priced.cents_each))


def _notes(job: CoatingJob, unit: Unit) -> Iterator[Advice]:
    facts = PRODUCTS[job.product]
    is_full_coat = facts.base is Base.WATERBORNE and bool(FILMS & {*facts.tasks})
    if is_full_coat and job.ratio.thin_hundredths > MOST_WATER_HUNDREDTHS:
        most = format_percent(MOST_WATER_HUNDREDTHS)
        yield Advice(Level.WARN, f"Thinned by more than {most}, a waterborne coat gets a weak film.", COMMON_PRACTICE)
    if job.product is Product.PAINT_WASH and job.ratio == UNMIXED:
        words = f"Type its parts, like {USUAL_WASH.words}, to see the paint and the water apart."
        yield Advice(Level.NOTE, words, WASH_SOURCE)
    if job.priced and job.priced.unit is not unit:
        words = f"{job.priced.name} is measured another way than {facts.words.lower()}, so no cost is worked out."
        yield Advice(Level.NOTE, words, "")
