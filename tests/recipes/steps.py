"""Steps for tests, written short."""

from typing import Any

from app.pieces.rules import Age
from app.recipes.rules import Aim, Part, Product, StepFacts, Surface, Task

WHITE, BLACK = "#f8f5ee", "#22201e"

PLAIN = Surface(age=Age.AFTER_1978)
"""A piece of which no more is known than that it is not old."""


def step(task: Task, aim: Aim | None = None, product: Product | None = None, **said: Any) -> StepFacts:
    """One step."""
    return StepFacts(task, aim=aim, product=product, **said)


def clean(aim: Aim = Aim.DEGREASE, **said: Any) -> StepFacts:
    """A cleaning."""
    return step(Task.CLEAN, aim, **said)


def sand(grit: int | None = 180, aim: Aim | None = Aim.SCUFF, **said: Any) -> StepFacts:
    """A sanding."""
    return step(Task.SAND, aim, grit=grit, **said)


def dust(**said: Any) -> StepFacts:
    """Taking the dust off."""
    return step(Task.CLEAN, Aim.REMOVE_DUST, **said)


def strip(**said: Any) -> StepFacts:
    """A stripping with a stripper."""
    return step(Task.STRIP, None, Product.STRIPPER, **{"dwell": 60, **said})


def rinse(**said: Any) -> StepFacts:
    """A rinse, dried for a day."""
    return step(Task.CLEAN, Aim.RINSE, Product.CLEANER, **said)


def seal(product: Product = Product.DEWAXED_SHELLAC, aim: Aim | None = None, **said: Any) -> StepFacts:
    """A sealer."""
    return step(Task.SEAL, aim, product, **said)


def prime(product: Product = Product.WATERBORNE_PRIMER, aim: Aim | None = None, **said: Any) -> StepFacts:
    """A primer."""
    return step(Task.PRIME, aim, product, **said)


def paint(product: Product | None = Product.WATERBORNE_PAINT, **said: Any) -> StepFacts:
    """Two coats of paint."""
    return step(Task.PAINT, None, product, **{"coats": 2, **said})


def clear(product: Product = Product.WATERBORNE_CLEAR, **said: Any) -> StepFacts:
    """A clear coat."""
    return step(Task.CLEAR_COAT, None, product, **said)


def stain(product: Product = Product.WATER_STAIN, **said: Any) -> StepFacts:
    """A stain."""
    return step(Task.STAIN, None, product, **said)


def wash(**said: Any) -> StepFacts:
    """A thinned paint."""
    return step(Task.WASH, None, Product.PAINT_WASH, **said)


def glaze(**said: Any) -> StepFacts:
    """A glaze."""
    return step(Task.GLAZE, None, Product.WATERBORNE_GLAZE, **said)


def wax(**said: Any) -> StepFacts:
    """A wax."""
    return step(Task.WAX, None, Product.PASTE_WAX, **said)


def hardware(aim: Aim) -> StepFacts:
    """Hardware off or on."""
    return step(Task.HARDWARE, aim, part=Part.HARDWARE)


def ready(**said: Any) -> list[StepFacts]:
    """The sound beginning of most recipes: degreased, scuffed, dust off."""
    return [clean(**said), sand(**said), dust(**said)]


def to_bare_wood(**said: Any) -> list[StepFacts]:
    """Stripped, rinsed, sanded through the grits, dust off."""
    grits = [sand(grit, Aim.LEVEL, **said) for grit in (100, 120, 150, 180)]
    return [strip(**said), rinse(**said), *grits, dust(**said)]
