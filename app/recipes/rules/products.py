"""Sorts of product: the task each is for, what it is carried in, and how long it dries as a rule.

The drying times hold at 21-25 degrees C and about half humidity. They are common practice of the trade where a row says
no source; the label of the product rules always.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.recipes.rules.bases import Base
from app.recipes.rules.kinds import Task

HOUR: Final = 60
DAY: Final = 24 * HOUR

COMMON_PRACTICE: Final = "common practice, no source"
WOOD_HANDBOOK_16: Final = "USDA Wood Handbook, chapter 16"
A_HOME_GUIDE: Final = "a home-improvement guide's table of drying times"


class Product(StrEnum):
    """A sort of product."""

    CLEANER = "cleaner"
    STRIPPER = "stripper"
    GLUE = "glue"
    FILLER = "filler"
    GRAIN_FILLER = "grain_filler"
    SHELLAC = "shellac"
    DEWAXED_SHELLAC = "dewaxed_shellac"
    SANDING_SEALER = "sanding_sealer"
    WATERBORNE_SEALER = "waterborne_sealer"
    WATERBORNE_PRIMER = "waterborne_primer"
    BLOCKING_PRIMER = "blocking_primer"
    OIL_PRIMER = "oil_primer"
    WATERBORNE_PAINT = "waterborne_paint"
    MINERAL_PAINT = "mineral_paint"
    CASEIN_PAINT = "casein_paint"
    OIL_PAINT = "oil_paint"
    PAINT_WASH = "paint_wash"
    WATERBORNE_GLAZE = "waterborne_glaze"
    OIL_GLAZE = "oil_glaze"
    WATER_STAIN = "water_stain"
    OIL_STAIN = "oil_stain"
    WATERBORNE_CLEAR = "waterborne_clear"
    OIL_VARNISH = "oil_varnish"
    LACQUER = "lacquer"
    OIL_FINISH = "oil_finish"
    PASTE_WAX = "paste_wax"


@dataclass(frozen=True)
class ProductFacts:
    """What holds for a sort of product; times in minutes after the coat is on.

    `recoat` is when the next coat may go on, `handle` when the piece may be used lightly or carried, `cure` when it
    is hard through. `recoat_by` is the end of the window after which it must be scuffed first, where there is one.
    """

    words: str
    base: Base
    tasks: tuple[Task, ...]
    recoat: int
    handle: int
    cure: int
    source: str = COMMON_PRACTICE
    recoat_by: int | None = None


def _hours(hours: float) -> int:
    return int(hours * HOUR)


PRODUCTS: Mapping[Product, ProductFacts] = MappingProxyType(
    {
        Product.CLEANER: ProductFacts("Cleaner", Base.OTHER, (Task.CLEAN,), DAY, DAY, DAY),
        Product.STRIPPER: ProductFacts("Stripper", Base.OTHER, (Task.STRIP,), DAY, DAY, 2 * DAY),
        Product.GLUE: ProductFacts("Wood glue", Base.OTHER, (Task.REPAIR,), _hours(1), DAY, DAY),
        Product.FILLER: ProductFacts("Wood filler", Base.OTHER, (Task.FILL,), _hours(2), DAY, DAY),
        Product.GRAIN_FILLER: ProductFacts("Paste grain filler", Base.OIL, (Task.FILL,), DAY, DAY, 3 * DAY),
        Product.SHELLAC: ProductFacts(
            "Shellac", Base.SHELLAC, (Task.SEAL, Task.CLEAR_COAT), _hours(1), _hours(4), 7 * DAY
        ),
        Product.DEWAXED_SHELLAC: ProductFacts(
            "Dewaxed shellac", Base.SHELLAC, (Task.SEAL, Task.CLEAR_COAT), _hours(1), _hours(4), 7 * DAY
        ),
        Product.SANDING_SEALER: ProductFacts("Sanding sealer", Base.LACQUER, (Task.SEAL,), _hours(1), DAY, 7 * DAY),
        Product.WATERBORNE_SEALER: ProductFacts(
            "Waterborne sealer", Base.WATERBORNE, (Task.SEAL,), _hours(4), DAY, 21 * DAY
        ),
        Product.WATERBORNE_PRIMER: ProductFacts(
            "Waterborne primer", Base.WATERBORNE, (Task.PRIME,), _hours(4), DAY, 21 * DAY
        ),
        Product.BLOCKING_PRIMER: ProductFacts(
            "Waterborne stain-blocking primer",
            Base.WATERBORNE,
            (Task.PRIME, Task.SEAL),
            DAY,
            DAY,
            21 * DAY,
            WOOD_HANDBOOK_16,
        ),
        Product.OIL_PRIMER: ProductFacts(
            "Oil or alkyd primer",
            Base.OIL,
            (Task.PRIME, Task.SEAL),
            _hours(16),
            2 * DAY,
            30 * DAY,
            A_HOME_GUIDE,
            7 * DAY,
        ),
        Product.WATERBORNE_PAINT: ProductFacts(
            "Waterborne paint", Base.WATERBORNE, (Task.PAINT,), _hours(4), 7 * DAY, 30 * DAY, A_HOME_GUIDE
        ),
        Product.MINERAL_PAINT: ProductFacts(
            "Chalky or mineral paint", Base.WATERBORNE, (Task.PAINT,), _hours(4), 7 * DAY, 30 * DAY
        ),
        Product.CASEIN_PAINT: ProductFacts(
            "Casein (milk) paint", Base.WATERBORNE, (Task.PAINT,), _hours(4), 7 * DAY, 30 * DAY
        ),
        Product.OIL_PAINT: ProductFacts(
            "Oil or alkyd paint", Base.OIL, (Task.PAINT,), _hours(16), 7 * DAY, 30 * DAY, A_HOME_GUIDE, 7 * DAY
        ),
        Product.PAINT_WASH: ProductFacts(
            "Paint thinned to a wash", Base.WATERBORNE, (Task.WASH,), _hours(2), DAY, 21 * DAY
        ),
        Product.WATERBORNE_GLAZE: ProductFacts(
            "Waterborne glaze", Base.WATERBORNE, (Task.GLAZE,), _hours(6), 2 * DAY, 21 * DAY
        ),
        Product.OIL_GLAZE: ProductFacts("Oil glaze", Base.OIL, (Task.GLAZE,), DAY, 3 * DAY, 30 * DAY),
        Product.WATER_STAIN: ProductFacts("Water stain", Base.WATERBORNE, (Task.STAIN,), _hours(4), DAY, 7 * DAY),
        Product.OIL_STAIN: ProductFacts("Oil stain", Base.OIL, (Task.STAIN,), DAY, 3 * DAY, 7 * DAY),
        Product.WATERBORNE_CLEAR: ProductFacts(
            "Waterborne clear coat", Base.WATERBORNE, (Task.CLEAR_COAT,), _hours(4), 7 * DAY, 30 * DAY
        ),
        Product.OIL_VARNISH: ProductFacts(
            "Oil varnish or polyurethane",
            Base.OIL,
            (Task.CLEAR_COAT,),
            DAY,
            7 * DAY,
            30 * DAY,
            COMMON_PRACTICE,
            3 * DAY,
        ),
        Product.LACQUER: ProductFacts("Lacquer", Base.LACQUER, (Task.CLEAR_COAT,), _hours(2), 7 * DAY, 30 * DAY),
        Product.OIL_FINISH: ProductFacts("Wiped oil finish", Base.OIL, (Task.CLEAR_COAT,), DAY, 7 * DAY, 30 * DAY),
        Product.PASTE_WAX: ProductFacts("Paste wax", Base.WAX, (Task.WAX,), DAY, DAY, 30 * DAY),
    }
)


def products_for(task: Task) -> tuple[Product, ...]:
    """The sorts of product a task may use; none for work without one."""
    return tuple(product for product, facts in PRODUCTS.items() if task in facts.tasks)


def base_of(product: Product | None) -> Base | None:
    """What carries the product; None where nobody said which it is."""
    return None if product is None else PRODUCTS[product].base
