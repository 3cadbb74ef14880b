"""How much of a material one coat on one part of a piece takes, before it is put on."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import PERCENT_WHOLE, half_up
from app.pieces.rules import Form
from app.recipes.rules.area import area_faces, area_of, is_small
from app.recipes.rules.coverage import SPREADS, USUAL_RESIDUE_HUNDREDTHS, material_needed
from app.recipes.rules.drying import Label
from app.recipes.rules.faces import Face
from app.recipes.rules.kinds import Part
from app.recipes.rules.minutes import ENOUGH_LOGGED
from app.recipes.rules.mixing import UNMIXED, Ratio, parse_ratio
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.transfer import transfer_of
from app.recipes.rules.ways import Way
from app.shelf.rules import Unit

MILLI: Final = 1000
_CM2_PER_ML_IN_M2_PER_L: Final = 10

PART_FACES: Mapping[Part, frozenset[str]] = MappingProxyType(
    {
        Part.TOP: frozenset({"top", "edges"}),
        Part.LID: frozenset({"top"}),
        Part.SEAT: frozenset({"seat", "top"}),
        Part.LEGS: frozenset({"legs", "stretchers"}),
        Part.DRAWERS: frozenset({"front"}),
        Part.DOORS: frozenset({"front"}),
        Part.BODY: frozenset({"sides", "ends", "pedestals", "apron", "inner_back"}),
        Part.SHELVES: frozenset({"shelves"}),
        Part.BACK: frozenset({"back", "slats", "posts"}),
        Part.INSIDE: frozenset({"inside"}),
        Part.HEADBOARD: frozenset({"head", "head_edges"}),
        Part.FRAME: frozenset({"front", "edges", "inner_edges", "rails", "foot"}),
    }
)
"""The faces that make up a part; all of it and its halves are reckoned from the faces usually coated."""


_FRONT_IS_BODY: Final = frozenset({Form.TRUNK, Form.OTHER})
"""Forms whose front is neither drawers nor doors."""
_HALF_DRAWERS: Final = frozenset({Form.SIDEBOARD, Form.WARDROBE})
"""Forms whose front is shared by drawers and doors, taken as half each."""


@dataclass(frozen=True)
class Amount:
    """An amount in thousandths of the material's unit, and in words where it comes from."""

    milli: int
    words: str


@dataclass(frozen=True)
class Measures:
    """The form of a piece and its outside measures in mm, as far as they were taken; how many things it is."""

    form: Form
    width_mm: int | None
    depth_mm: int | None
    height_mm: int | None
    count: int = 1


def area_of_part(faces: Collection[Face], part: Part, form: Form) -> Fraction | None:
    """The surface of a part in cm2, out of the faces of its piece; None where no face stands for it."""
    if part in {Part.WHOLE, Part.LEFT_HALF, Part.RIGHT_HALF}:
        return area_of(faces) / (1 if part is Part.WHOLE else 2)
    wanted = PART_FACES.get(part, frozenset())
    if part is Part.BODY and form in _FRONT_IS_BODY:
        wanted |= {"front"}
    if part is Part.LID and form is not Form.TRUNK:
        return None
    keys = wanted & {face.key for face in faces}
    share = 2 if part in {Part.DRAWERS, Part.DOORS} and form in _HALF_DRAWERS else 1
    return area_of(faces, keys) / share if keys else None


def amount_for(
    step: StepFacts, measures: Measures, unit: Unit, *, label: Label, used_before: Sequence[int] = ()
) -> Amount | None:
    """How much of its material a coat takes: the owner's own median from 3 times on, else from the surface.

    `used_before` are thousandths used for the like step on one like piece. None where neither can be told.
    """
    if len(used_before) >= ENOUGH_LOGGED:
        each = Fraction(median(used_before)) * measures.count
        return Amount(half_up(each), f"Your median of {len(used_before)} times.")
    spread = _spread(step, unit, label)
    if spread is None:
        return None
    try:
        faces = area_faces(measures.form, measures.width_mm, measures.depth_mm, measures.height_mm)
    except RuleError:
        return None
    area = area_of_part(faces, step.part, measures.form)
    if not area:
        return None
    transfer = transfer_of(step.way or Way.BRUSH, is_small=is_small(measures.form)).usual
    need = material_needed(
        area * measures.count, 1, spread, transfer, residue_hundredths=USUAL_RESIDUE_HUNDREDTHS, ratio=mix_of(step)
    )
    return Amount(max(half_up(need.parts[0] * MILLI), 1), "A guess from its size and how far such a coat goes.")


def mix_of(step: StepFacts) -> Ratio:
    """The mix a step asks for: its ratio, or thinned by a share of the paint; unmixed without either."""
    if step.ratio:
        return parse_ratio(step.ratio)
    if step.thin_hundredths:
        return Ratio((Fraction(1), Fraction(step.thin_hundredths, PERCENT_WHOLE)))
    return UNMIXED


def _spread(step: StepFacts, unit: Unit, label: Label) -> Fraction | None:
    """cm2 that a ml (or g) of the mix covers: by the label, else as a rule for its sort of product."""
    if label.spread_hundredths is not None and unit is Unit.ML:
        return Fraction(label.spread_hundredths, 100) * _CM2_PER_ML_IN_M2_PER_L
    product = step.product or label.product
    rule = SPREADS.get(product) if product is not None else None
    return rule.usual_cm2 if rule is not None and rule.unit is unit else None
