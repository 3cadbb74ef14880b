"""One step of a finish as it is written: checked, cleaned, put into words, and counted in coats."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from app.basics.errors import RuleError
from app.basics.money import PERCENT_WHOLE
from app.basics.quantities import LONGEST_MINUTES, LONGEST_WAIT
from app.basics.words import LINE_LIMIT, NAME_LIMIT
from app.pieces.rules import colour_of, line_of
from app.recipes.rules.kinds import AIM_WORDS, COATINGS, PART_WORDS, TASK_AIMS, TASK_WORDS, Aim, Part, Task
from app.recipes.rules.mixing import parse_ratio
from app.recipes.rules.products import PRODUCTS, Product
from app.recipes.rules.ways import Way

MOST_COATS: Final = 12
MOST_STEPS: Final = 60
COARSEST, FINEST = 12, 5000
RATIO_LIMIT: Final = 24


class GritScale(StrEnum):
    """The two scales abrasive sheets are sold by; they part ways above about 220."""

    P = "P"
    CAMI = "CAMI"


@dataclass(frozen=True)
class StepFacts:
    """A step as a recipe holds it; times in minutes, thinning in hundredths of a percent of the paint.

    `ratio` is parts as typed, like "1:4", the material first and `mixed_with` last. The times are those of the label;
    None means nobody said, and what holds for the sort of product as a rule is used. `dwell` is how long it stays wet
    or is left to work; `recoat_by` the end of the window after which it must be scuffed.
    """

    task: Task
    part: Part = Part.WHOLE
    aim: Aim | None = None
    product: Product | None = None
    material_id: int | None = None
    colour: str | None = None
    ratio: str = ""
    mixed_with: str = ""
    thin_hundredths: int | None = None
    grit: int | None = None
    grit_scale: GritScale = GritScale.P
    coats: int = 1
    way: Way | None = None
    dwell: int | None = None
    recoat: int | None = None
    recoat_by: int | None = None
    cure: int | None = None
    active: int | None = None
    note: str = ""
    caution: str = ""

    @property
    def words(self) -> str:
        """What is done, like "Sand, scuff for grip, 180" or "Paint, 2 coats"."""
        said = [TASK_WORDS[self.task]]
        said += [AIM_WORDS[self.aim]] if self.aim else []
        said += [self.grit_words] if self.grit else []
        said += [f"{self.coats} coats"] if self.coats > 1 else []
        return ", ".join(said)

    @property
    def part_words(self) -> str:
        """Which part of the piece it is done to."""
        return PART_WORDS[self.part]

    @property
    def grit_words(self) -> str:
        """The grit with its scale, like P180; nothing without one."""
        if self.grit is None:
            return ""
        return f"P{self.grit}" if self.grit_scale is GritScale.P else f"{self.grit} CAMI"

    @property
    def is_coating(self) -> bool:
        """Whether it leaves a coat that dries."""
        return self.task in COATINGS

    @property
    def sprays(self) -> bool:
        """Whether it takes the spray corner."""
        return self.way is Way.SPRAY


def sound_step(step: StepFacts) -> StepFacts:
    """The step as it is kept, words cleaned, and only what its task can have.

    Refuses, at the field's own name, an aim or a product the task does not have, coats outside 1 to 12, a grit no sheet
    has, a ratio that is none, thinning over 100 %, times below zero or beyond a year, a window that ends before it
    begins, and what is no colour (RuleError).
    """
    _require_fitting(step)
    _require_numbers(step)
    _require_times(step)
    is_sanding = step.task is Task.SAND
    ratio = sound_ratio(step.ratio)
    return replace(
        step,
        grit=step.grit if is_sanding else None,
        grit_scale=step.grit_scale if is_sanding else GritScale.P,
        coats=step.coats if step.is_coating else 1,
        colour=colour_of(step.colour, "colour"),
        ratio=ratio,
        mixed_with=(line_of(step.mixed_with, NAME_LIMIT, "mixed_with") or "water") if ratio else "",
        note=line_of(step.note, LINE_LIMIT, "note"),
        caution=line_of(step.caution, LINE_LIMIT, "caution"),
    )


def sound_ratio(typed: str) -> str:
    """The parts of a mix as they are kept, "" for none; refuses, at "ratio", what is none or has an empty part."""
    if not typed.strip():
        return ""
    try:
        ratio = parse_ratio(typed)
    except RuleError as refusal:
        raise RuleError(refusal.message, "ratio") from refusal
    if not all(ratio.parts):
        raise RuleError("Each part of a mix is more than nothing, like 1:4.", "ratio")
    return line_of(ratio.words, RATIO_LIMIT, "ratio")


def _require_fitting(step: StepFacts) -> None:
    task = TASK_WORDS[step.task].lower()
    if step.aim is not None and step.aim not in TASK_AIMS.get(step.task, ()):
        raise RuleError(f'"{AIM_WORDS[step.aim]}" is no aim of the task "{task}".', "aim")
    if step.product is not None and step.task not in PRODUCTS[step.product].tasks:
        raise RuleError(f'{PRODUCTS[step.product].words} is not for the task "{task}". Choose another sort.', "product")


def _require_numbers(step: StepFacts) -> None:
    if not 1 <= step.coats <= MOST_COATS:
        raise RuleError(f"A step has 1 to {MOST_COATS} coats.", "coats")
    if step.grit is not None and not COARSEST <= step.grit <= FINEST:
        raise RuleError(f"Abrasive sheets run from {COARSEST} to {FINEST}. Type the grit, like 180.", "grit")
    if step.thin_hundredths is not None and not 0 <= step.thin_hundredths <= PERCENT_WHOLE:
        raise RuleError("Thin by 0 to 100 % of the paint. Use a ratio for more.", "thin")


def _require_times(step: StepFacts) -> None:
    for field in ("dwell", "recoat", "recoat_by", "cure"):
        minutes: int | None = getattr(step, field)
        if minutes is not None and not 0 <= minutes <= LONGEST_WAIT:
            raise RuleError("A time is from 0 to 365 days.", field)
    if step.active is not None and not 1 <= step.active <= LONGEST_MINUTES:
        raise RuleError("The work takes at least 1 minute and at most 24 hours.", "active")
    if step.recoat is not None and step.recoat_by is not None and step.recoat_by < step.recoat:
        raise RuleError("The window for the next coat cannot end before it begins.", "recoat_by")


def coats_joined(steps: Iterable[StepFacts]) -> list[StepFacts]:
    """Steps as they were worked, one coat each, written as a recipe has them: like coats in a row are one step."""
    joined: list[StepFacts] = []
    for step in steps:
        last = joined[-1] if joined else None
        if last is not None and step.is_coating and replace(last, coats=1) == step and last.coats < MOST_COATS:
            joined[-1] = replace(last, coats=last.coats + 1)
        else:
            joined.append(step)
    return joined


def on_part(steps: Iterable[StepFacts], part: Part) -> list[StepFacts]:
    """The steps done to one part of a piece: all of them where they name one part only, else those on all of it."""
    given = list(steps)
    is_one_part = len({step.part for step in given}) <= 1
    return [replace(step, part=part) if is_one_part or step.part is Part.WHOLE else step for step in given]


def changed_words(was: StepFacts, became: StepFacts) -> list[str]:
    """Which facts of a step say something else now, by what their fields are called; coats and colour included."""
    return [label for name, label in STEP_LABELS.items() if getattr(was, name) != getattr(became, name)]


STEP_LABELS: Final = {
    "task": "task",
    "part": "part",
    "aim": "aim",
    "product": "sort of product",
    "material_id": "material",
    "colour": "colour",
    "ratio": "ratio",
    "mixed_with": "mixed with",
    "thin_hundredths": "thinning",
    "grit": "grit",
    "grit_scale": "grit scale",
    "coats": "coats",
    "way": "way of applying",
    "dwell": "time to work",
    "recoat": "dry before the next coat",
    "recoat_by": "window for the next coat",
    "cure": "cured",
    "active": "minutes of work",
    "note": "note",
    "caution": "caution",
}
