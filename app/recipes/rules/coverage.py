"""How far a coating goes and how much of it a job needs.

Areas are cm2, amounts ml (g for what is sold by weight), films micrometres; all of it stays exact. Shares that are
typed are hundredths of a percent. Theoretical coverage follows from the volume of solids: what does not evaporate
lies on the surface as the dry film.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.basics.quantities import MM_PER_INCH
from app.recipes.rules.mixing import UNMIXED, Number, Ratio, mix_by_parts, require_share
from app.recipes.rules.products import COMMON_PRACTICE, Product
from app.recipes.rules.steps import MOST_COATS
from app.shelf.rules import Measure, Unit, measure_size

UM_PER_MIL: Final = MM_PER_INCH
"""A mil is a thousandth of an inch, exactly 25.4 micrometres."""

CM2_PER_FT2: Final = (12 * MM_PER_INCH / 10) ** 2
"""Square centimetres in a square foot, exactly 929.0304."""

CM2_PER_ML: Final = Fraction(10)
"""One square metre to the litre, as square centimetres to the millilitre."""

_UM_PER_CM: Final = 10_000

USUAL_COATS: Final = 2
COATS_SOURCE: Final = f"two coats for full cover: {COMMON_PRACTICE}"

USUAL_RESIDUE_HUNDREDTHS: Final = 10_00
"""How much is left in can, tray and tool."""

RESIDUE_SOURCE: Final = f"3 to 10 % stay in can and tools by a maker's page; 10 % for small jobs is {COMMON_PRACTICE}"


@dataclass(frozen=True)
class Spread:
    """How far one coat goes on smooth sealed wood, in square feet to the gallon, or to the pound where `unit` is g."""

    low: int
    usual: int
    high: int
    source: str
    unit: Unit = Unit.ML

    @property
    def usual_cm2(self) -> Fraction:
        """The usual figure in cm2 to the ml or to the g."""
        return cm2_of_us_spread(self.usual, self.unit)


def cm2_of_us_spread(square_feet: Number, unit: Unit = Unit.ML) -> Fraction:
    """Square feet to the US gallon (to the pound by weight) as cm2 to the ml (to the g), exactly."""
    return square_feet * CM2_PER_FT2 / measure_size(Measure.LB if unit is Unit.G else Measure.GALLON)


_PAINT: Final = Spread(300, 350, 400, "several how-to pages; common practice")
_PRIMER: Final = Spread(200, 250, 300, "one page on paint, a weak source")
_SEALER: Final = Spread(300, 350, 500, COMMON_PRACTICE)
_GLAZE: Final = Spread(300, 400, 600, COMMON_PRACTICE)
_CLEAR: Final = Spread(300, 400, 600, "a how-to page and an older builder's handbook")
_A_STAIN_PAGE: Final = "one page on stains, a weak source"

SPREADS: Mapping[Product, Spread] = MappingProxyType(
    {
        **dict.fromkeys((Product.WATERBORNE_PAINT, Product.OIL_PAINT, Product.CASEIN_PAINT), _PAINT),
        Product.MINERAL_PAINT: Spread(300, 350, 490, "top of the range by a maker's page; the rest common practice"),
        Product.PAINT_WASH: Spread(300, 400, 600, f"counted on what is mixed; {COMMON_PRACTICE}"),
        **dict.fromkeys((Product.WATERBORNE_PRIMER, Product.BLOCKING_PRIMER, Product.OIL_PRIMER), _PRIMER),
        **dict.fromkeys((Product.SHELLAC, Product.DEWAXED_SHELLAC), _SEALER),
        **dict.fromkeys((Product.SANDING_SEALER, Product.WATERBORNE_SEALER), _SEALER),
        **dict.fromkeys((Product.WATERBORNE_GLAZE, Product.OIL_GLAZE), _GLAZE),
        Product.OIL_STAIN: Spread(200, 300, 400, _A_STAIN_PAGE),
        Product.WATER_STAIN: Spread(300, 300, 600, _A_STAIN_PAGE),
        **dict.fromkeys((Product.WATERBORNE_CLEAR, Product.OIL_VARNISH, Product.LACQUER), _CLEAR),
        Product.OIL_FINISH: replace(_CLEAR, source=COMMON_PRACTICE),
        Product.GRAIN_FILLER: Spread(40, 40, 40, "an older builder's handbook", Unit.G),
        Product.PASTE_WAX: Spread(150, 150, 400, "a maker's page; the upper end common practice", Unit.G),
    }
)
"""Spreading rates for one coat by sort of product. The label always goes before them."""


def theoretical_coverage_m2_per_l(volume_solids: Number, dry_film_um: Number) -> Fraction:
    """Square metres to the litre: 1000 x solids by volume (a part of one) / dry film in micrometres.

    Refuses solids not above 0 or over 1, and a film of nothing (RuleError).
    """
    return 1000 * _solids(volume_solids) / _film(dry_film_um)


def dry_film(wet_film: Number, volume_solids: Number) -> Fraction:
    """What a wet film dries to, in the unit it came in; refuses as `theoretical_coverage_m2_per_l`."""
    return _film(wet_film) * _solids(volume_solids)


def wet_film(dry: Number, volume_solids: Number) -> Fraction:
    """How thick to lay it on wet for a dry film, in the unit it came in; refuses as `dry_film`."""
    return _film(dry) / _solids(volume_solids)


def wet_film_of_spread(cm2_per_ml: Number) -> Fraction:
    """How thick it lies wet at a spreading rate, in micrometres; no solids needed. Refuses no rate (RuleError)."""
    return _UM_PER_CM / _rate(cm2_per_ml)


def practical_coverage(theoretical: Number, *, loss: Number | None = None, transfer: Number | None = None) -> Fraction:
    """What of the coverage is left: less a loss, or times the share that stays on, each a part of one.

    The two count the same waste, so both at once are refused, as are a loss outside 0 to 1 and a share outside it
    (RuleError).
    """
    if loss is not None and transfer is not None:
        raise RuleError("Give a loss or a share that stays on, not both: they count the same waste.")
    left = Fraction(1 if loss is None else 1 - loss) if transfer is None else Fraction(transfer)
    if not 0 < left <= 1:
        raise RuleError("A loss is from 0 % to less than 100 %; what stays on is above 0 % and at most 100 %.")
    return theoretical * left


@dataclass(frozen=True)
class Need:
    """How much of a mix a job needs, in ml or g: what the surface takes, what to mix, and each part of that."""

    on_the_piece: Fraction
    mixed: Fraction
    parts: tuple[Fraction, ...]


def material_needed(
    area_cm2: Number,
    coats: int,
    spread: Number,
    transfer: Number,
    *,
    residue_hundredths: int = USUAL_RESIDUE_HUNDREDTHS,
    ratio: Ratio = UNMIXED,
) -> Need:
    """How much to mix: area x coats / spread / share that stays on x (1 + residue), shared out by the ratio.

    `spread` is cm2 to the ml (or g) of the mix for one coat, `transfer` the share that stays on the piece (see
    `transfer_of`). Refuses no area, coats outside 1 to `MOST_COATS`, no spread, a share outside 0 to 1, and a residue
    outside 0 to 100 % (RuleError).
    """
    if area_cm2 <= 0:
        raise RuleError("There has to be something to coat.")
    if not 1 <= coats <= MOST_COATS:
        raise RuleError(f"Type from 1 to {MOST_COATS} coats.")
    on_the_piece = Fraction(area_cm2 * coats) / _rate(spread)
    mixed = on_the_piece * (1 + require_share(residue_hundredths)) / practical_coverage(1, transfer=transfer)
    return Need(on_the_piece, mixed, mix_by_parts(mixed, ratio.all_parts))


def cost_of(amount: Number, cents_each: Fraction) -> Fraction:
    """What an amount costs in cents, exactly, from the cents of one ml or g; the caller rounds once."""
    return amount * cents_each


def _solids(share: Number) -> Fraction:
    if not 0 < share <= 1:
        raise RuleError("Solids by volume are above 0 % and at most 100 %, like 38 %.")
    return Fraction(share)


def _film(thickness: Number) -> Fraction:
    if thickness <= 0:
        raise RuleError("A film is more than nothing.")
    return Fraction(thickness)


def _rate(cm2_per_unit: Number) -> Fraction:
    if cm2_per_unit <= 0:
        raise RuleError("It has to cover more than nothing. Type the rate on the label.")
    return Fraction(cm2_per_unit)
