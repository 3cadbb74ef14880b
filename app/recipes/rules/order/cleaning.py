"""Rules for cleaning and stripping: what has to come off before anything goes on."""

from typing import Final

from app.recipes.rules.kinds import Aim, Part, Task
from app.recipes.rules.levels import Level
from app.recipes.rules.order.facts import Check, OrderRule, Told
from app.recipes.rules.order.place import SHELLACS, Place, cleans, rinses
from app.recipes.rules.order.sources import A_HOW_TO, EXTENSION, SEVERAL_HOW_TOS
from app.recipes.rules.products import COMMON_PRACTICE, WOOD_HANDBOOK_16, Product
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import OldFinish


def _strips(step: StepFacts) -> bool:
    return step.task is Task.STRIP


def _takes_wax_off(step: StepFacts) -> bool:
    return _strips(step) or (step.task is Task.CLEAN and step.aim is Aim.REMOVE_WAX)


def _is_coat_over_wax(step: StepFacts) -> bool:
    return step.is_coating and step.task is not Task.WAX


def _is_clean_or_past_it(step: StepFacts) -> bool:
    """Whether nothing after it can be the first thing done to a dirty piece."""
    return cleans(step) or _strips(step) or step.task is Task.SAND or step.is_coating


def _is_dirty(place: Place) -> bool:
    return place.surface.old_finish is not OldFinish.BARE and not place.had(_is_clean_or_past_it)


def _is_over_old_wax(place: Place) -> bool:
    if place.surface.old_finish is not OldFinish.WAX or not _is_coat_over_wax(place.step):
        return False
    return place.is_wood and not place.had(lambda step: _takes_wax_off(step) or _is_coat_over_wax(step))


def _is_over_new_wax(place: Place) -> bool:
    """Whether a wax before lies under it still: nothing took it off all of the part the two share."""
    if not _is_coat_over_wax(place.step):
        return False
    for at, step in enumerate(place.steps_before):
        parts = {step.part, place.step.part, Part.WHOLE}
        later = place.steps_before[at + 1 :]
        if step.task is Task.WAX and not any(_takes_wax_off(each) and each.part in parts for each in later):
            return True
    return False


def _is_taken_off_again(place: Place) -> bool:
    if place.step.task is not Task.WAX:
        return False
    for at, step in enumerate(place.after):
        if _is_coat_over_wax(step):
            return any(map(_takes_wax_off, place.after[:at]))
    return False


def _is_over_polish(place: Place) -> bool:
    if not place.surface.has_polish or not place.is_first_coat or not place.is_wood:
        return False
    is_barrier = place.step.task is Task.SEAL or place.step.product in SHELLACS
    was_washed = place.had(lambda step: step.task is Task.CLEAN and step.aim is Aim.WASH_OFF_POLISH)
    return place.step.task is not Task.WAX and not (was_washed and is_barrier)


def _goes_over_stripper(place: Place) -> bool:
    if place.step.task is not Task.FILL and not place.step.is_coating:
        return False
    return place.open_since(_strips, lambda step: rinses(step) or step.is_coating or step.task is Task.FILL)


def _goes_over_dust(place: Place) -> bool:
    if not place.step.is_coating:
        return False
    return place.open_since(
        lambda step: step.task is Task.SAND, lambda step: step.task is Task.CLEAN or step.is_coating
    )


CLEANING: Final = (
    Check(
        OrderRule(
            "sand_uncleaned",
            Level.WARN,
            "Clean and degrease before the first sanding.",
            "Sanding drives grease and polish into the scratches, where no cleaner reaches them.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        lambda place: place.step.task is Task.SAND and _is_dirty(place),
    ),
    Check(
        OrderRule(
            "coat_uncleaned",
            Level.WARN,
            "Clean and degrease before the first coat.",
            "No coat holds on grease and dirt.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        lambda place: place.step.is_coating and _is_dirty(place),
    ),
    Check(
        OrderRule(
            "old_wax",
            Level.STOP,
            "Take the old wax off with a solvent before the first coat, then scuff.",
            "The piece is waxed, and nothing but wax holds on wax.",
            A_HOW_TO,
        ),
        Told.BEFORE,
        _is_over_old_wax,
    ),
    Check(
        OrderRule(
            "over_wax",
            Level.STOP,
            "Nothing but wax goes over wax. Take the wax off first.",
            "Paint and clear coats do not hold on wax: they crawl, stay soft or peel.",
            SEVERAL_HOW_TOS,
        ),
        Told.BEFORE,
        _is_over_new_wax,
    ),
    Check(
        OrderRule(
            "wax_not_last",
            Level.WARN,
            "Put the wax on last, after every other coat.",
            "This wax has to come off again before the next coat, and what is left of it does harm.",
            SEVERAL_HOW_TOS,
        ),
        Told.ALL,
        _is_taken_off_again,
    ),
    Check(
        OrderRule(
            "polish",
            Level.WARN,
            "Wash the silicone polish off with a solvent, then begin with a barrier coat of shellac.",
            "Silicone makes coats draw back in small craters, even after sanding.",
            A_HOW_TO,
        ),
        Told.BEFORE,
        _is_over_polish,
    ),
    Check(
        OrderRule(
            "strip_late",
            Level.WARN,
            "Strip before you fill, stain or coat.",
            "The stripper takes filler, colour and the new coats with it.",
            WOOD_HANDBOOK_16,
        ),
        Told.BEFORE,
        lambda place: (
            _strips(place.step) and place.had(lambda step: step.is_coating or step.task in {Task.FILL, Task.REPAIR})
        ),
    ),
    Check(
        OrderRule(
            "strip_unrinsed",
            Level.STOP,
            "After stripping, rinse and neutralise as the stripper's label says before anything goes on.",
            "Stripper left in the wood softens the next coat.",
            WOOD_HANDBOOK_16,
        ),
        Told.BEFORE,
        _goes_over_stripper,
    ),
    Check(
        OrderRule(
            "strip_time",
            Level.NOTE,
            "Say how long the stripper works: often about an hour, covered in hot weather. Its label rules.",
            "Scraped too early it takes the old finish off in patches; dried on it does nothing more.",
            COMMON_PRACTICE,
        ),
        Told.BEFORE,
        lambda place: _strips(place.step) and place.step.product is Product.STRIPPER and place.step.dwell is None,
    ),
    Check(
        OrderRule(
            "dust_left",
            Level.WARN,
            "Take the dust off between sanding and coating.",
            "Dust under a coat shows as grit and keeps the coat from holding.",
            EXTENSION,
        ),
        Told.BEFORE,
        _goes_over_dust,
    ),
)
