"""One step of a list of steps as the order rules see it: what lies under it, and what is still to come."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import Final

from app.basics.colours import relative_luminance
from app.recipes.rules.bases import Base
from app.recipes.rules.drying import NO_LABEL, Drying, Label, TimeFrom, drying_of
from app.recipes.rules.kinds import FILMS, Aim, Part, Task, parts_meet
from app.recipes.rules.products import Product, base_of
from app.recipes.rules.steps import StepFacts
from app.recipes.rules.surface import OldFinish, Surface

NO_LABELS: Final[Mapping[int, Label]] = MappingProxyType({})

LIGHT: Final = 0.4
WHITE: Final = 0.7
"""Relative luminance from which a colour counts as light, and as white: common practice, no source."""

SHELLACS: Final = frozenset({Product.SHELLAC, Product.DEWAXED_SHELLAC})
BLOCKERS: Final = SHELLACS | {Product.BLOCKING_PRIMER, Product.OIL_PRIMER}
_NOT_WASHING: Final = frozenset({Aim.REMOVE_DUST, Aim.BLEACH})
_RINSING: Final = frozenset({None, Aim.DEGREASE, Aim.RINSE})

Test = Callable[[StepFacts], bool]


@dataclass(frozen=True)
class Earlier:
    """A step before, its index, and the minutes between its end and the step in question; None: nobody can tell."""

    at: int
    step: StepFacts
    drying: Drying
    minutes: int | None


@dataclass(frozen=True)
class Place:
    """A step with the steps before and after it that concern it, and everything the recipe does at all."""

    step: StepFacts
    drying: Drying
    label: Label
    surface: Surface
    before: tuple[Earlier, ...]
    after: tuple[StepFacts, ...]
    recipe: tuple[StepFacts, ...]

    @cached_property
    def steps_before(self) -> list[StepFacts]:
        """The steps before it that concern it."""
        return [earlier.step for earlier in self.before]

    @cached_property
    def is_bared(self) -> bool:
        """Whether the old finish was taken off first."""
        return any(map(bares, self.steps_before))

    @cached_property
    def since_bared(self) -> tuple[Earlier, ...]:
        """What was done after the wood was last laid bare; everything where it never was."""
        last = max((at for at, earlier in enumerate(self.before) if bares(earlier.step)), default=-1)
        return self.before[last + 1 :]

    @cached_property
    def coats(self) -> list[Earlier]:
        """The coats it goes over, the lowest first."""
        return [earlier for earlier in self.since_bared if earlier.step.is_coating]

    @cached_property
    def films(self) -> list[Earlier]:
        """The coats under it that close the surface."""
        return [earlier for earlier in self.coats if earlier.step.task in FILMS]

    @property
    def last_coat(self) -> Earlier | None:
        """The coat it goes over directly."""
        return self.coats[-1] if self.coats else None

    @property
    def last_film(self) -> Earlier | None:
        """The last coat under it that closes the surface."""
        return self.films[-1] if self.films else None

    @property
    def is_first_coat(self) -> bool:
        """Whether it is the first coat on its part."""
        return self.step.is_coating and not self.had(lambda step: step.is_coating)

    @property
    def is_bare(self) -> bool:
        """Whether it is done to bare wood, as far as anybody said."""
        return self.is_wood and (self.is_bared or self.surface.old_finish is OldFinish.BARE) and not self.films

    @property
    def is_wood(self) -> bool:
        """Whether it is done to the piece itself, not to its hardware."""
        return self.step.part is not Part.HARDWARE

    def had(self, test: Test) -> bool:
        """Whether a step before it was such a one."""
        return any(map(test, self.steps_before))

    def will(self, test: Test) -> bool:
        """Whether a step after it is such a one."""
        return any(map(test, self.after))

    def open_since(self, begins: Test, ends: Test) -> bool:
        """Whether a step before it began something that no later step before it ended."""
        is_open = False
        for step in self.steps_before:
            is_open = begins(step) or (is_open and not ends(step))
        return is_open

    def next_coat(self, *, unless: Test = lambda _step: False) -> StepFacts | None:
        """The next coat on its part; None without one, or where such a step as `unless` comes first."""
        for step in self.after:
            if unless(step):
                return None
            if step.is_coating:
                return step
        return None


def places_of(steps: Sequence[StepFacts], surface: Surface, labels: Mapping[int, Label]) -> list[Place]:
    """Each step of a list with what concerns it; the times between steps are those the list plans."""
    known = [_known(step, labels) for step in steps]
    dryings = [drying_of(step, _label_of(step, labels)) for step in known]
    return [
        Place(
            step=step,
            drying=dryings[at],
            label=_label_of(step, labels),
            surface=surface,
            before=tuple(_planned(known, dryings, at)),
            after=tuple(later for later in known[at + 1 :] if concerns(step, later)),
            recipe=tuple(known),
        )
        for at, step in enumerate(known)
    ]


def _planned(steps: Sequence[StepFacts], dryings: Sequence[Drying], at: int) -> Iterable[Earlier]:
    """The steps before the one at `at` that concern it, with the drying planned between: the later ones' included."""
    waited, found = 0, []
    for before in reversed(range(at)):
        step, drying = steps[before], dryings[before]
        if not concerns(step, steps[at]):
            continue
        minutes = None if drying.source is TimeFrom.NONE else waited + drying.recoat
        found.append(Earlier(before, step, drying, minutes))
        waited += drying.recoat * step.coats
    return reversed(found)


def _known(step: StepFacts, labels: Mapping[int, Label]) -> StepFacts:
    """The step with what the label of its material adds; work on hardware is done to the whole piece."""
    label = _label_of(step, labels)
    is_about_all = step.task is Task.HARDWARE and step.part is Part.HARDWARE
    return replace(
        step,
        product=step.product or label.product,
        dwell=label.dwell if step.dwell is None else step.dwell,
        part=Part.WHOLE if is_about_all else step.part,
    )


def _label_of(step: StepFacts, labels: Mapping[int, Label]) -> Label:
    return NO_LABEL if step.material_id is None else labels.get(step.material_id, NO_LABEL)


def concerns(earlier: StepFacts, later: StepFacts) -> bool:
    """Whether what was done before matters to what is done later: their parts meet.

    Hardware is off while the piece itself is coated, so coats on the one do not matter to the other.
    """
    if (earlier.part is Part.HARDWARE) is not (later.part is Part.HARDWARE) and earlier.is_coating:
        return False
    return parts_meet(earlier.part, later.part)


def bares(step: StepFacts) -> bool:
    """Whether it takes the old finish off."""
    return step.task is Task.STRIP or (step.task is Task.SAND and step.aim is Aim.LEVEL)


def cleans(step: StepFacts) -> bool:
    """Whether it takes dirt and grease off."""
    return step.task is Task.CLEAN and step.aim not in _NOT_WASHING


def rinses(step: StepFacts) -> bool:
    """Whether it washes what is left of a chemical away."""
    return step.task is Task.CLEAN and step.aim in _RINSING


def wets(step: StepFacts) -> bool:
    """Whether it leaves the wood wet: washing with water, or a stripper."""
    return rinses(step) or step.task is Task.STRIP or (step.task is Task.CLEAN and step.aim is Aim.BLEACH)


def blocks(step: StepFacts) -> bool:
    """Whether it keeps what is in the wood from bleeding through."""
    if step.task not in {Task.SEAL, Task.PRIME, Task.CLEAR_COAT} or step.aim is Aim.KNOTS:
        return False
    return step.aim is Aim.BLOCK_STAINS or step.product in BLOCKERS


def is_waterborne(step: StepFacts) -> bool:
    """Whether its coat is carried in water, as far as anybody said."""
    return step.is_coating and base_of(step.product) is Base.WATERBORNE


def is_lighter(step: StepFacts, than: float) -> bool:
    """Whether its colour is known and at least so light."""
    return step.colour is not None and relative_luminance(step.colour) >= than
