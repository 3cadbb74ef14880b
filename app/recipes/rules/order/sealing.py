"""Rules for sealing and priming: what would bleed, smell or let go has to be shut in before colour goes on."""

from typing import Final

from app.recipes.rules.bases import Base
from app.recipes.rules.kinds import Aim, Task
from app.recipes.rules.levels import Level
from app.recipes.rules.order.facts import Check, OrderRule, Told
from app.recipes.rules.order.place import LIGHT, SHELLACS, Place, blocks, is_lighter, is_waterborne
from app.recipes.rules.order.sources import A_BUILDERS_MAGAZINE, A_NEWSPAPER, HANDBOOK_AND_PRACTICE
from app.recipes.rules.products import COMMON_PRACTICE, WOOD_HANDBOOK_16, Product, base_of
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import OldFinish

_COLOURS: Final = frozenset({Task.PAINT, Task.WASH})
_KNOT_AIMS: Final = frozenset({Aim.KNOTS, Aim.BLOCK_STAINS})
_MAY_BE_ALKYD: Final = frozenset({OldFinish.PAINT, OldFinish.UNKNOWN})


def _is_colour(step: StepFacts) -> bool:
    return step.task in _COLOURS


def _is_primer_or_sealer(step: StepFacts) -> bool:
    return step.task in {Task.PRIME, Task.SEAL}


def _is_first_colour(place: Place) -> bool:
    """Whether it is the first colour on the piece itself, with no old paint left under it."""
    is_first = _is_colour(place.step) and not any(_is_colour(coat.step) for coat in place.coats)
    is_over_paint = place.surface.old_finish is OldFinish.PAINT and not place.is_bared
    return is_first and place.is_wood and not is_over_paint


def _may_bleed(place: Place) -> bool:
    return place.surface.bleeds and _is_first_colour(place) and not place.had(blocks)


def _bleeds(place: Place) -> bool:
    return _may_bleed(place) and is_waterborne(place.step) and is_lighter(place.step, LIGHT)


def _bleeds_perhaps(place: Place) -> bool:
    may_be_light = place.step.colour is None or is_lighter(place.step, LIGHT)
    may_be_waterborne = base_of(place.step.product) in {None, Base.WATERBORNE}
    return _may_bleed(place) and may_be_light and may_be_waterborne and not _bleeds(place)


def _seals_knots(step: StepFacts) -> bool:
    return step.task is Task.SEAL and (step.aim in _KNOT_AIMS or step.product in SHELLACS)


def _leaves_knots(place: Place) -> bool:
    if place.step.task not in {Task.PRIME, *_COLOURS} or not place.is_wood:
        return False
    is_first = not place.had(lambda step: step.task in {Task.PRIME, *_COLOURS})
    return is_first and not place.had(_seals_knots)


def _leaves_odour(place: Place) -> bool:
    is_locked_in = any(blocks(step) or step.aim is Aim.ODOUR for step in place.recipe)
    is_first = _is_colour(place.step) and not place.had(_is_colour)
    return place.surface.has_odour and is_first and place.is_wood and not is_locked_in


def _slips_on_gloss(place: Place) -> bool:
    if place.step.task is not Task.PAINT or not is_waterborne(place.step):
        return False
    film = place.last_film
    if film is not None:
        return film.step.product is Product.OIL_PAINT
    return place.surface.is_glossy and place.surface.old_finish in _MAY_BE_ALKYD and not place.is_bared


def _is_unprimed(place: Place) -> bool:
    if place.step.task is not Task.PAINT or not _is_first_colour(place) or place.surface.bleeds:
        return False
    may_be_light = place.step.colour is None or is_lighter(place.step, LIGHT)
    return may_be_light and not place.had(_is_primer_or_sealer)


SEALING: Final = (
    Check(
        OrderRule(
            "bleed",
            Level.STOP,
            "Seal the wood or prime it with a stain blocker before light waterborne paint.",
            "Tannin and old stain bleed through as brown marks: oak, cedar, redwood, mahogany, cherry and walnut, and"
            " stained wood of any sort.",
            HANDBOOK_AND_PRACTICE,
        ),
        Told.BEFORE,
        _bleeds,
    ),
    Check(
        OrderRule(
            "bleed_perhaps",
            Level.WARN,
            "If the paint is light and waterborne, seal this wood or prime it with a stain blocker first.",
            "Its tannin or old stain would bleed through as brown marks. Say the sort of paint and its colour to know.",
            HANDBOOK_AND_PRACTICE,
        ),
        Told.BEFORE,
        _bleeds_perhaps,
    ),
    Check(
        OrderRule(
            "knots",
            Level.WARN,
            "Spot the knots with shellac or a knot sealer before primer and paint.",
            "Resin in the knots comes through as yellow rings.",
            WOOD_HANDBOOK_16,
        ),
        Told.BEFORE,
        lambda place: place.surface.has_knots and _leaves_knots(place),
    ),
    Check(
        OrderRule(
            "knots_perhaps",
            Level.NOTE,
            "Look for knots: pine, spruce and fir are seldom free of them. Spot them before primer and paint.",
            "Resin in the knots comes through as yellow rings.",
            WOOD_HANDBOOK_16,
        ),
        Told.BEFORE,
        lambda place: place.surface.is_knotty_wood and not place.surface.has_knots and _leaves_knots(place),
    ),
    Check(
        OrderRule(
            "odour",
            Level.WARN,
            "Clean, air, and lock the smell in with shellac, on the inside surfaces above all, before colour.",
            "Smoke, mildew and pets are smelt through paint.",
            A_NEWSPAPER,
        ),
        Told.BEFORE,
        _leaves_odour,
    ),
    Check(
        OrderRule(
            "water_marks",
            Level.WARN,
            "Seal the water marks with a stain blocker before colour.",
            "They come through waterborne paint as yellow edges.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        lambda place: place.surface.has_water_marks and _is_first_colour(place) and not place.had(blocks),
    ),
    Check(
        OrderRule(
            "gloss",
            Level.STOP,
            "Scuff the gloss and put a primer that grips it under waterborne paint.",
            "Waterborne paint over glossy oil paint peels off in sheets.",
            A_BUILDERS_MAGAZINE,
        ),
        Told.BEFORE,
        _slips_on_gloss,
    ),
    Check(
        OrderRule(
            "unprimed",
            Level.NOTE,
            "Prime or seal under light paint where the wood is red, stained or under a mixed old finish.",
            "What is in them shows through only days later.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        _is_unprimed,
    ),
)
