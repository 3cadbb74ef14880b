"""How to look after a finish: what its last coat asks for, and how long it is to be treated gently."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.recipes.rules.cautions.working import OILY_RAGS
from app.recipes.rules.kinds import COATINGS, Aim, Part, Task
from app.recipes.rules.products import COMMON_PRACTICE, Product


class Top(StrEnum):
    """The sort of coat that lies on top and is touched."""

    WAX = "wax"
    OIL = "oil"
    SHELLAC = "shellac"
    LACQUER = "lacquer"
    CLEAR = "clear"
    SOFT_PAINT = "soft_paint"
    PAINT = "paint"
    STAIN = "stain"


@dataclass(frozen=True)
class CareLine:
    """One thing to do or to leave alone, in words for who takes the piece home; `source` says what it rests on.

    What `goes_first` may not be cut off where a tag has no room for all of it.
    """

    words: str
    source: str = COMMON_PRACTICE
    goes_first: bool = False


@dataclass(frozen=True)
class WorkDone:
    """A step that is done, as far as it tells what lies on top; `product` is None where nobody said the sort."""

    task: Task
    part: Part
    done_at: datetime
    aim: Aim | None = None
    product: Product | None = None
    cured_at: datetime | None = None

    @property
    def lays_bare(self) -> bool:
        """Whether it takes off what was on the part."""
        return self.task is Task.STRIP or (self.task is Task.SAND and self.aim is Aim.LEVEL)


EVERY_FINISH: Final = (
    CareLine("Wipe spills at once. Use mats under anything hot, wet or sharp."),
    CareLine("Keep it out of strong sun and away from heaters and damp."),
)
LABEL_FIRST: Final = CareLine("The label of each product goes before this note.", goes_first=True)

CARE: Mapping[Top, tuple[CareLine, ...]] = MappingProxyType(
    {
        Top.WAX: (
            CareLine(
                "Waxed: dust with a soft dry cloth, and buff it where it dulls. No water left standing, no spray."
            ),
            CareLine("Wax it thinly again when it looks dry, about once a year. Nothing but wax holds on it."),
        ),
        Top.OIL: (
            CareLine("Oiled: wipe with a cloth that is barely damp, then dry. Oil it thinly again when it looks dry."),
            CareLine(
                "A cloth wet with oil can catch fire by itself: spread it flat outdoors until hard, or put it in a"
                " lidded metal can with water. Never heap or bin it.",
                OILY_RAGS.source,
                goes_first=True,
            ),
        ),
        Top.SHELLAC: (
            CareLine(
                "Shellacked: dust with a soft dry cloth. Alcohol dissolves it, and heat and water leave white marks."
            ),
        ),
        Top.LACQUER: (
            CareLine("Lacquered: wipe with a cloth that is barely damp, then dry. No solvent, no scouring."),
        ),
        Top.CLEAR: (CareLine("Clear coated: wipe with a damp cloth and a drop of mild soap, then dry. No scouring."),),
        Top.SOFT_PAINT: (
            CareLine(
                "Painted, with nothing over the paint: dust it dry; wipe marks with a barely damp cloth, never rub."
            ),
        ),
        Top.PAINT: (CareLine("Painted: wipe with a damp cloth and a drop of mild soap, then dry. No scouring."),),
        Top.STAIN: (CareLine("Stained, with no coat over it: dust it dry. Water and hands leave marks on it."),),
    }
)
"""What each sort of top coat asks for."""

_BY_PRODUCT: Final[Mapping[Product, Top]] = {
    Product.PASTE_WAX: Top.WAX,
    Product.OIL_FINISH: Top.OIL,
    Product.SHELLAC: Top.SHELLAC,
    Product.DEWAXED_SHELLAC: Top.SHELLAC,
    Product.LACQUER: Top.LACQUER,
    Product.SANDING_SEALER: Top.LACQUER,
    Product.MINERAL_PAINT: Top.SOFT_PAINT,
    Product.CASEIN_PAINT: Top.SOFT_PAINT,
}
_BY_TASK: Final[Mapping[Task, Top]] = {
    Task.WAX: Top.WAX,
    Task.CLEAR_COAT: Top.CLEAR,
    Task.SEAL: Top.CLEAR,
    Task.PRIME: Top.SOFT_PAINT,
    Task.PAINT: Top.PAINT,
    Task.WASH: Top.SOFT_PAINT,
    Task.GLAZE: Top.SOFT_PAINT,
    Task.STAIN: Top.STAIN,
}


def top_of(task: Task, product: Product | None) -> Top | None:
    """What a step leaves on top; None for work that leaves no coat."""
    if task not in COATINGS:
        return None
    return _BY_TASK[task] if product is None else _BY_PRODUCT.get(product, _BY_TASK[task])


def tops_of(done: Iterable[WorkDone]) -> dict[Part, Top]:
    """What lies on top of each part, from everything done to a piece, whatever finish it belonged to.

    A coat on all of it covers every part; stripping, or sanding down to sound wood, takes off what was there.
    """
    tops: dict[Part, Top] = {}
    for step in _in_time(done):
        top = top_of(step.task, step.product)
        if top is None and not step.lays_bare:
            continue
        if step.part is Part.WHOLE:
            tops.clear()
        tops.pop(step.part, None)
        if top is not None:
            tops[step.part] = top
    return tops


def gentle_until(done: Iterable[WorkDone], now: datetime) -> datetime | None:
    """Until when the piece is not hard through; None when it is, or nothing on it hardens.

    Coats from before all of it was laid bare do not count.
    """
    latest: datetime | None = None
    for step in _in_time(done):
        if step.lays_bare and step.part is Part.WHOLE:
            latest = None
        if step.task in COATINGS and step.cured_at is not None:
            latest = max(latest or step.cured_at, step.cured_at)
    return latest if latest is not None and latest > now else None


def care_lines(tops: Collection[Top]) -> tuple[CareLine, ...]:
    """What to do and to leave alone with such coats on top, the cautions first; nothing where none is known."""
    if not tops:
        return ()
    by_top = [line for top in Top if top in tops for line in CARE[top]]
    return tuple(sorted((LABEL_FIRST, *by_top, *EVERY_FINISH), key=lambda line: not line.goes_first))


def _in_time(done: Iterable[WorkDone]) -> list[WorkDone]:
    return sorted(done, key=lambda step: step.done_at)
