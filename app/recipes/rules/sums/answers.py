"""The small sums worked out and put into words: parts of a mix, shellac cuts, coverage from solids, the air.

Everything that is shown is in the shop's units with the others beside it.
"""

from dataclasses import dataclass
from fractions import Fraction

from app.basics.money import half_up
from app.basics.quantities import Units, format_percent
from app.recipes.rules.advice import Advice
from app.recipes.rules.air import (
    DEW_MARGIN_C,
    MOST_STRETCH,
    air_findings,
    dew_point_c,
    drying_stretch,
    equilibrium_moisture,
)
from app.recipes.rules.bases import Base
from app.recipes.rules.coverage import (
    CM2_PER_ML,
    dry_film,
    practical_coverage,
    theoretical_coverage_m2_per_l,
    wet_film,
)
from app.recipes.rules.mixing import Number, Ratio, mix_by_parts, mix_from_part, shares_of_mix, thinned_solids
from app.recipes.rules.shellac import (
    Dilution,
    alcohol_for,
    dilute_cut,
    flakes_for,
    made_ml,
    ounces_per_cup,
    require_cut,
)
from app.recipes.rules.sums.showing import (
    Shown,
    amount_shown,
    amounts_shown,
    film_shown,
    spread_shown,
    temperature_shown,
)
from app.recipes.rules.transfer import Transfer, transfer_of
from app.recipes.rules.ways import Way
from app.shelf.rules import Unit


@dataclass(frozen=True)
class MixLine:
    """One part of a mix: how many parts it is, its share of the whole, how much of it."""

    parts: str
    share: str
    amount: Shown
    is_thinner: bool


@dataclass(frozen=True)
class MixAnswer:
    """A mix with its total; `first_share` says of how many parts the first is one, in words."""

    ratio: Ratio
    lines: tuple[MixLine, ...]
    total: Shown


def mix_answer(ratio: Ratio, total_ml: Number | None, have_ml: Number | None, place: int, units: Units) -> MixAnswer:
    """A mix by its total, or by what is in hand of the part at `place`; refuses what makes none (RuleError)."""
    parts = ratio.all_parts
    amounts = mix_from_part(have_ml, place, parts) if have_ml is not None else mix_by_parts(total_ml or 0, parts)
    shown = amounts_shown(amounts, Unit.ML, units)
    shares = [format_percent(half_up(share * 10_000)) for share in shares_of_mix(parts)]
    lines = tuple(
        MixLine(_number(part), share, amount, number >= len(ratio.parts))
        for number, (part, share, amount) in enumerate(zip(parts, shares, shown, strict=True))
    )
    return MixAnswer(ratio, lines, amount_shown(sum(amounts, Fraction(0)), Unit.ML, units))


@dataclass(frozen=True)
class Dissolved:
    """Flake and alcohol that go together, how much that makes, and the flake to a US cup."""

    flakes: Shown
    alcohol: Shown
    makes: Shown
    to_a_cup: str


@dataclass(frozen=True)
class ThinnedCut:
    """Alcohol to add to a stock, reckoned in both ways."""

    stock: Shown
    weaker: str
    added: dict[Dilution, Shown]


@dataclass(frozen=True)
class ShellacAnswer:
    """What to weigh out and pour for a cut."""

    cut: str
    dissolved: Dissolved | None
    thinned: ThinnedCut | None


def shellac_answer(
    cut: Number,
    alcohol_ml: Number | None,
    flakes_g: Number | None,
    stock_ml: Number | None,
    weaker: Number | None,
    *,
    units: Units,
) -> ShellacAnswer:
    """A cut dissolved from alcohol or flake, and thinned from a stock, each where it was asked for.

    Refuses what is no cut and what cannot be thinned (RuleError).
    """
    require_cut(cut)
    dissolved = thinned = None
    if flakes_g is not None:
        alcohol_ml = alcohol_for(flakes_g, cut)
    if alcohol_ml is not None:
        flakes_g = flakes_for(alcohol_ml, cut) if flakes_g is None else flakes_g
        dissolved = Dissolved(
            amount_shown(flakes_g, Unit.G, units),
            amount_shown(alcohol_ml, Unit.ML, units),
            amount_shown(made_ml(alcohol_ml, cut), Unit.ML, units),
            f"{_number(ounces_per_cup(cut))} oz",
        )
    if stock_ml is not None and weaker is not None:
        added = {way: amount_shown(dilute_cut(stock_ml, cut, weaker, way), Unit.ML, units) for way in Dilution}
        thinned = ThinnedCut(amount_shown(stock_ml, Unit.ML, units), _number(weaker), added)
    return ShellacAnswer(_number(cut), dissolved, thinned)


@dataclass(frozen=True)
class CoverageAnswer:
    """How far a coating goes: by its solids alone and with what gets lost, and the films it lies in."""

    solids: str
    theoretical: Shown
    practical: Shown | None
    lost: str
    source: str
    wet: Shown
    dry: Shown


def coverage_answer(
    solids: Fraction,
    film_um: Number,
    *,
    is_wet: bool,
    thin_hundredths: int,
    loss: Fraction | None,
    way: Way | None,
    units: Units,
) -> CoverageAnswer:
    """Coverage from the solids in the can, thinned or not, and one film; refuses what cannot be (RuleError)."""
    in_mix = thinned_solids(solids, thin_hundredths)
    dry = dry_film(film_um, in_mix) if is_wet else Fraction(film_um)
    theoretical = theoretical_coverage_m2_per_l(in_mix, dry) * CM2_PER_ML
    transfer = transfer_of(way) if way else None
    practical = practical_coverage(theoretical, loss=loss, transfer=transfer.usual if transfer else None)
    return CoverageAnswer(
        solids=format_percent(half_up(in_mix * 10_000)),
        theoretical=spread_shown(theoretical, Unit.ML, units),
        practical=None if practical == theoretical else spread_shown(practical, Unit.ML, units),
        lost=format_percent(half_up((1 - practical / theoretical) * 10_000)),
        source=_source(transfer),
        wet=film_shown(wet_film(dry, in_mix), units),
        dry=film_shown(dry, units),
    )


def _source(transfer: Transfer | None) -> str:
    return transfer.source if transfer else ""


@dataclass(frozen=True)
class AirAnswer:
    """What the air says: its dew point, how warm the piece has to be, what speaks against coating, and the waiting."""

    dew_point: Shown
    least_surface: Shown
    advice: tuple[Advice, ...]
    stretch: str
    is_at_cap: bool
    moisture: str


def air_answer(temp_c: float, rh: float, surface_c: float | None, base: Base, units: Units) -> AirAnswer:
    """The air worked out for one base of coating; refuses what no meter shows (RuleError)."""
    dew = dew_point_c(temp_c, rh)
    stretch = drying_stretch(temp_c, rh, base)
    return AirAnswer(
        dew_point=temperature_shown(dew, units),
        least_surface=temperature_shown(dew + DEW_MARGIN_C, units),
        advice=air_findings(temp_c, rh, base=base, surface_c=surface_c),
        stretch=f"{stretch:.1f}".removesuffix(".0"),
        is_at_cap=stretch >= MOST_STRETCH,
        moisture=f"{equilibrium_moisture(temp_c, rh):.1f} %",
    )


def _number(number: Number) -> str:
    return f"{float(number):.2f}".rstrip("0").rstrip(".")
