"""How a recipe is written: its name, where its steps stand, and what a step of each task can say."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal, TypeVar

from app.basics.errors import RuleError
from app.basics.quantities import format_percent
from app.basics.words import NAME_LIMIT, NOTE_LIMIT, clean_text
from app.pieces.rules import line_of
from app.recipes.rules.kinds import COATINGS, TASK_AIMS, Task
from app.recipes.rules.steps import MOST_STEPS, StepFacts
from app.shelf.rules import MaterialClass

WHY_OVERRULED: Final = "Say why you know better; a few words will do."

T = TypeVar("T")
Direction = Literal[-1, 1]
"""One place up is -1, one place down is +1."""


@dataclass(frozen=True)
class NewRecipe:
    """A recipe as it is written first; steps may come later."""

    name: str
    note: str = ""
    steps: tuple[StepFacts, ...] = ()


@dataclass(frozen=True)
class RecipeFacts:
    """What is said of a recipe beside its steps; one put away is not offered any more."""

    name: str
    note: str = ""
    is_put_away: bool = False


def sound_name(name: str) -> str:
    """The name as it is kept; refuses, at "name", none and one too long (RuleError)."""
    kept = line_of(name, NAME_LIMIT, "name")
    if not kept:
        raise RuleError("Give the recipe the name you call it by.", "name")
    return kept


def sound_note(note: str) -> str:
    """The note as it is kept; refuses, at "note", one too long (RuleError)."""
    try:
        return clean_text(note, NOTE_LIMIT)
    except RuleError as refusal:
        raise RuleError(refusal.message, "note") from refusal


def require_room(steps: int) -> None:
    """Refuse more than 60 steps (RuleError)."""
    if steps > MOST_STEPS:
        raise RuleError(f"A recipe has at most {MOST_STEPS} steps. Write the rest as a recipe of its own.")


def put_in(steps: Sequence[T], step: T, at: int | None) -> list[T]:
    """The steps with another one that becomes number `at` counted from 1; at the end for None or a number beyond it."""
    place = len(steps) if at is None else min(max(at, 1) - 1, len(steps))
    return [*steps[:place], step, *steps[place:]]


def moved(steps: Sequence[T], step: T, by: Direction) -> list[T]:
    """The steps with one of them a place up or down; refuses one beyond the first or the last (RuleError)."""
    place = steps.index(step)
    if place + by < 0:
        raise RuleError("This is the first step already.")
    if place + by >= len(steps):
        raise RuleError("This is the last step already.")
    return put_in([each for each in steps if each is not step], step, place + by + 1)


_MIXED: Final[Mapping[Task, str]] = {
    Task.CLEAN: "cleaner",
    Task.SEAL: "sealer",
    Task.PRIME: "primer",
    Task.GLAZE: "glaze",
    Task.STAIN: "stain",
    Task.CLEAR_COAT: "clear coat",
}


def mix_words(step: StepFacts) -> str:
    """How a step's material is mixed, like "1 paint : 4 water" or "thinned by 10%"; nothing where it is not."""
    if step.ratio:
        first, *others = step.ratio.split(":")
        mixed_with = f"{others[-1]} {step.mixed_with}"
        return " : ".join([f"{first} {_MIXED.get(step.task, 'paint')}", *others[:-1], mixed_with])
    return f"thinned by {format_percent(step.thin_hundredths)}" if step.thin_hundredths else ""


_EVERY: Final = ("part", "active", "note", "caution")
_COAT: Final = (
    "product",
    "material_id",
    "colour",
    "ratio",
    "mixed_with",
    "thin_hundredths",
    "coats",
    "way",
    "dwell",
    "recoat",
    "recoat_by",
    "cure",
)
_MORE: Final[Mapping[Task, tuple[str, ...]]] = {
    **dict.fromkeys(sorted(COATINGS), _COAT),
    Task.WASH: tuple(fact for fact in _COAT if fact != "thin_hundredths"),
    Task.WAX: tuple(fact for fact in _COAT if fact not in {"ratio", "mixed_with", "thin_hundredths"}),
    Task.CLEAN: ("product", "material_id", "ratio", "mixed_with", "dwell", "recoat"),
    Task.STRIP: ("product", "material_id", "way", "dwell", "recoat"),
    Task.REPAIR: ("product", "material_id", "recoat", "cure"),
    Task.FILL: ("product", "material_id", "colour", "recoat", "cure"),
    Task.SAND: ("material_id", "grit", "grit_scale"),
    Task.DISTRESS: ("material_id",),
    Task.HARDWARE: ("material_id",),
    Task.LINE_DRAWERS: ("material_id",),
}

TASK_FACTS: Mapping[Task, frozenset[str]] = MappingProxyType(
    {task: frozenset((*_EVERY, *_MORE.get(task, ()), *(("aim",) if task in TASK_AIMS else ()))) for task in Task}
)
"""What a step of a task can say beside its task, by the names of its facts."""

TASK_CLASSES: Mapping[Task, tuple[MaterialClass, ...]] = MappingProxyType(
    {
        Task.CLEAN: (MaterialClass.CLEANER,),
        Task.STRIP: (MaterialClass.STRIPPER,),
        Task.REPAIR: (MaterialClass.SUNDRIES, MaterialClass.FILLER),
        Task.FILL: (MaterialClass.FILLER,),
        Task.SAND: (MaterialClass.ABRASIVE,),
        Task.SEAL: (MaterialClass.SEALER, MaterialClass.PRIMER, MaterialClass.CLEAR_COAT),
        Task.PRIME: (MaterialClass.PRIMER, MaterialClass.SEALER),
        Task.PAINT: (MaterialClass.PAINT,),
        Task.WASH: (MaterialClass.WASH, MaterialClass.PAINT),
        Task.GLAZE: (MaterialClass.GLAZE,),
        Task.STAIN: (MaterialClass.STAIN,),
        Task.WAX: (MaterialClass.WAX,),
        Task.CLEAR_COAT: (MaterialClass.CLEAR_COAT, MaterialClass.SEALER),
        Task.DISTRESS: (MaterialClass.ABRASIVE,),
        Task.HARDWARE: (MaterialClass.HARDWARE,),
        Task.LINE_DRAWERS: (MaterialClass.LINING,),
    }
)
"""The classes of the shelf a task draws on, the likeliest first; a task left out needs nothing from it."""
