"""Which cautions matter to a step, to a piece being bought, and to a piece being listed: only those."""

import re
from collections.abc import Collection
from typing import Final

from app.basics.words import fold
from app.pieces.rules import LEAD, Age, Caution, Form, is_lead_possible, lead_cautions
from app.recipes.rules.bases import Base
from app.recipes.rules.cautions import selling, working
from app.recipes.rules.kinds import Aim, Task
from app.recipes.rules.products import base_of
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import LeadTest, OldFinish, Surface

TIPS_FROM_MM: Final = 686
"""27 inches: the height from which 16 CFR 1261 looks at clothing storage."""

_CLOTHES: Final = frozenset({Form.CHEST, Form.DRESSER, Form.WARDROBE})
_TALL: Final = frozenset({Form.NIGHTSTAND, Form.BOOKCASE, Form.CABINET})
_HEAVY: Final = frozenset({Form.DRESSER, Form.WARDROBE, Form.SIDEBOARD, Form.CABINET})
_SOLVENT_AIMS: Final = frozenset({Aim.REMOVE_WAX, Aim.WASH_OFF_POLISH})
_DISTURBING: Final = frozenset({Task.SAND, Task.STRIP, Task.DISTRESS})

_CRIB: Final = re.compile(r"\b(cribs?|cots?|cradles?|drop[- ]?side[sd]?)\b")
_BUNK: Final = re.compile(r"\bbunks?\b")
_TOY_BOX: Final = re.compile(r"\btoy ?(box(es)?|chests?|trunks?)\b")
_CHILD: Final = re.compile(
    r"\b(child|childs|children|childrens|kids?|nursery|baby|babys|babies|toddlers?|toys?|toybox(es)?|high ?chairs?)\b"
)
_RECALLED: Final = re.compile(r"(?<!not )(?<!never )\brecalled\b")
_GLASS: Final = re.compile(r"\b(mirror\w*|looking glass|glass(?! (?:knob|pull|handle)\w*))\b")
_UPHOLSTERY: Final = re.compile(r"\b(upholster\w*|re-?cover\w*|padded|cushion\w*|(?:webb|stuff)ing|drop-in seat)\b")
_PROTECTED: Final = re.compile(r"\b(ivory|tortoise\s?shell|rosewood)\b")
_WIRED: Final = re.compile(r"\b(lamps?|wired|wiring|electric\w*|lit cabinet)\b")
_BORED: Final = re.compile(r"\b(woodworm|worm\w*|beetles?|borers?|insects?|damp|mou?ldy?|mildew\w*)\b")
_BUILT_IN: Final = re.compile(r"\bbuilt[- ]in\b")
_HARDENER: Final = re.compile(r"\b(two[- ]part|2[- ]part|2k|hardener|isocyanates?)\b")
_PAINT: Final = re.compile(r"paint|enamel|lacquer|whitewash|primer")


def speaks_of_paint(*words: str) -> bool:
    """Whether the owner's words speak of a coat of paint."""
    return bool(_PAINT.search(fold(" ".join(words))))


def cautions_for_step(step: StepFacts, surface: Surface) -> tuple[Caution, ...]:
    """What can hurt somebody in a step on such a surface; two-part products are known by the step's words alone."""
    found = [
        (LEAD, step.task in _DISTURBING and _may_hold_lead(surface)),
        (working.METHYLENE_CHLORIDE, step.task is Task.STRIP),
        (working.NMP, step.task is Task.STRIP),
        (working.CHEMICALS, _uses_chemicals(step)),
        (working.HARDENERS, _HARDENER.search(fold(f"{step.note} {step.caution} {step.mixed_with}"))),
        (working.SPRAYING, step.sprays),
        (working.MASKS, step.sprays or step.task is Task.STRIP),
        (working.OILY_RAGS, step.is_coating and base_of(step.product) is Base.OIL),
        (working.WOOD_DUST, step.task is Task.SAND),
        (working.WASTE, step.task is Task.STRIP),
    ]
    return _those_that_matter(found)


def cautions_for_buying(form: Form, age: Age, *words: str, lead_test: LeadTest = LeadTest.NONE) -> tuple[Caution, ...]:
    """What to look out for in a piece that is being bought or was just logged; what fits it best stands first.

    `words` are the owner's, such as its name and what it is made of; a word in them is a hint, no proof.
    """
    said = fold(" ".join(words))
    found = [
        *_not_to_be_sold(said),
        *_for_children(said),
        (LEAD, lead_cautions(age) and lead_test is not LeadTest.NEGATIVE),
        (working.INSECTS, _BORED.search(said)),
        *_by_words(form, said),
        (selling.BUILT_IN, _BUILT_IN.search(said) and is_lead_possible(age)),
        (selling.LIFTING, form in _HEAVY),
        (selling.RECALLS, _is_on_recall_lists(form, said)),
    ]
    return _those_that_matter(found)


def cautions_for_listing(
    form: Form,
    age: Age,
    *words: str,
    height_mm: int | None = None,
    is_painted: bool | None = None,
    lead_test: LeadTest = LeadTest.NONE,
) -> tuple[Caution, ...]:
    """What to look at before a piece is offered, beside what `must_not_be_sold` says; what fits it best stands first.

    A height nobody measured counts as tall for clothing storage. `words` are the owner's; a word in them is a hint, no
    proof. `is_painted` is None where nobody knows; a piece counts as painted too when the words say so.
    """
    said = fold(" ".join(words))
    tips = _may_tip(form, height_mm)
    may_be_painted = is_painted is not False or speaks_of_paint(said)
    is_old_paint = may_be_painted and is_lead_possible(age) and lead_test is not LeadTest.NEGATIVE
    is_for_child = _is_for_child(said)
    found = [
        *_for_children(said),
        (selling.OLD_PAINT_SOLD, is_old_paint),
        (selling.TIP_OVER, tips),
        (selling.SMALL_PARTS, is_for_child),
        *_by_words(form, said),
        (selling.STATE_TAGS, _UPHOLSTERY.search(said)),
        (selling.RECALLS, _is_on_recall_lists(form, said) or (tips and age is Age.AFTER_1978)),
    ]
    return _those_that_matter(found)


def must_not_be_sold(*words: str) -> tuple[Caution, ...]:
    """What the owner's words say of a piece that is not to be sold: a crib of the old sort, a recalled thing."""
    return _those_that_matter(_not_to_be_sold(fold(" ".join(words))))


_Found = list[tuple[Caution, object]]


def _not_to_be_sold(said: str) -> _Found:
    return [(selling.RECALLED, _RECALLED.search(said)), (selling.CRIBS, _is_crib(said))]


def _for_children(said: str) -> _Found:
    return [
        (selling.BUNK_BEDS, _BUNK.search(said)),
        (selling.TOY_BOXES, _TOY_BOX.search(said)),
        (selling.CHILDREN, _is_for_child(said)),
    ]


def _by_words(form: Form, said: str) -> _Found:
    return [
        (selling.UPHOLSTERY, _UPHOLSTERY.search(said)),
        (selling.GLASS, form is Form.MIRROR or _GLASS.search(said)),
        (selling.PROTECTED, _PROTECTED.search(said)),
        (selling.ELECTRICAL, _WIRED.search(said)),
    ]


def _those_that_matter(found: Collection[tuple[Caution, object]]) -> tuple[Caution, ...]:
    return tuple(caution for caution, matters in found if matters)


def _may_hold_lead(surface: Surface) -> bool:
    if surface.lead_test is not LeadTest.NONE:
        return surface.lead_test is LeadTest.POSITIVE
    return is_lead_possible(surface.age) and surface.old_finish is not OldFinish.BARE


def _uses_chemicals(step: StepFacts) -> bool:
    is_solvent = step.task is Task.CLEAN and step.aim in _SOLVENT_AIMS | {Aim.BLEACH}
    return is_solvent or step.task is Task.STRIP or base_of(step.product) is Base.LACQUER


def _is_crib(said: str) -> bool:
    return bool(_CRIB.search(said.replace("'", "")))


def _is_for_child(said: str) -> bool:
    return _is_crib(said) or bool(_CHILD.search(said.replace("'", "")))


def _is_on_recall_lists(form: Form, said: str) -> bool:
    return form is Form.BED or bool(_BUNK.search(said)) or _is_for_child(said)


def _may_tip(form: Form, height_mm: int | None) -> bool:
    if height_mm is None:
        return form in _CLOTHES
    return form in _CLOTHES | _TALL and height_mm >= TIPS_FROM_MM
