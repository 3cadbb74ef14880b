"""The form of one step: only the fields its task can have, those that are asked seldom in a fold."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Self

from wtforms import BooleanField, HiddenField, RadioField, SelectField

from app.basics.errors import RuleError
from app.basics.words import LINE_LIMIT, NAME_LIMIT
from app.pieces.forms.fields import ColourField, NumberField
from app.recipes.rules import (
    AIM_WORDS,
    PART_WORDS,
    PRODUCTS,
    TASK_AIMS,
    TASK_FACTS,
    USUAL_WASH,
    WAY_WORDS,
    Aim,
    Direction,
    GritScale,
    Part,
    Product,
    StepFacts,
    Task,
    Way,
    products_for,
    sound_ratio,
)
from app.shelf.forms import START_COLOUR
from app.web.forms import LineField, MinutesField, PercentField, VersionedForm, WaitField, row_number, words_of

NOT_SAID = ("", "Not said")
NO_MATERIAL = ("", "None, or not on the shelf")
AT_THE_END = ("", "At the end")
NO_SUCH_ROW: Final = -1

_FACTS: Final = {
    "part": "part",
    "aim": "aim",
    "material": "material_id",
    "product": "product",
    "coats": "coats",
    "grit": "grit",
    "grit_scale": "grit_scale",
    "way": "way",
    "ratio": "ratio",
    "mixed_with": "mixed_with",
    "thin": "thin_hundredths",
    "has_colour": "colour",
    "colour": "colour",
    "dwell": "dwell",
    "recoat": "recoat",
    "recoat_by": "recoat_by",
    "cure": "cure",
    "active": "active",
    "note": "note",
    "caution": "caution",
}
"""The fields in the order they are asked, each with the fact it is for."""

_CHOSEN: Final = frozenset({"part", "aim", "material", "product", "grit_scale", "way"})
_RATIO_HINTS: Final = {
    Task.WASH: f"Parts of paint first, then of water: {USUAL_WASH.words} is usual.",
    Task.CLEAN: "Parts of cleaner first, then of water, like 1:10.",
    Task.GLAZE: "Parts of paint or colour first, like 1:4.",
    Task.STAIN: "Parts of stain first, like 1:1.",
}
_MIXED_MOSTLY: Final = frozenset({Task.CLEAN, Task.WASH, Task.GLAZE, Task.STAIN})
_MIXING: Final = frozenset({"ratio", "mixed_with"})
_SELDOM: Final = frozenset({"thin", "has_colour", "colour", "dwell", "recoat", "recoat_by", "cure", "active"})


def part_choices() -> list[tuple[str, str]]:
    """Every part by its words."""
    return words_of(PART_WORDS, lambda part: PART_WORDS[part])


def way_choices() -> list[tuple[str, str]]:
    """Every way of applying, and none at the end."""
    return [*words_of(WAY_WORDS, lambda way: WAY_WORDS[way]), NOT_SAID]


def scale_choices() -> list[tuple[str, str]]:
    """The two scales of grit as the back of the sheet prints them."""
    return [(GritScale.P.value, "P180: a P before the number"), (GritScale.CAMI.value, "180: the number alone")]


@dataclass(frozen=True)
class MaterialChoices:
    """Materials as a step is offered them: those that can serve its task, and all others of the shelf."""

    fitting: list[tuple[str, str]]
    others: list[tuple[str, str]]

    @property
    def grouped(self) -> dict[str, list[tuple[str, str]]]:
        """The choices as the box shows them, none first and the others last."""
        groups = {"For such a step": [NO_MATERIAL, *self.fitting], "Other materials": self.others}
        return {words: choices for words, choices in groups.items() if choices}


class StepForm(VersionedForm):
    """What one step of a task says."""

    part = SelectField("Part", choices=part_choices)
    aim = RadioField("What for")
    material = SelectField("Material from the shelf", validate_choice=False)
    product = SelectField("Sort of product")
    coats = NumberField("Coats")
    grit = NumberField("Grit", description="The number on the back of the sheet, like 180.")
    grit_scale = RadioField("How the sheet prints it", choices=scale_choices)
    way = RadioField("Put on with", choices=way_choices)
    ratio = LineField("Ratio")
    mixed_with = LineField("Mixed with", limit=NAME_LIMIT, description="Empty: water.")
    thin = PercentField("Thinned by", description="Of the paint, like 10. Or type a ratio above.")
    has_colour = BooleanField("A colour of its own, not that of the material")
    colour = ColourField("That colour")
    dwell = WaitField("Left to work", description="Before it is wiped or scraped, like 10 min.")
    recoat = WaitField("Dry before what comes next", description="Like 4 h. Empty: as the label says, else a rule.")
    recoat_by = WaitField("Scuff it first after", description="Where the label gives a window for the next coat.")
    cure = WaitField("Hard through after", description="Like 21 days. Empty: as the label says, else a rule.")
    active = MinutesField("Time of work", description="For one coat, without the drying, like 40 min.")
    note = LineField("Note", limit=LINE_LIMIT)
    caution = LineField("Caution", limit=LINE_LIMIT, description="What to look out for: gloves, air, rags.")
    at = SelectField("Where it goes")

    task: Task
    shown_colour: str = START_COLOUR

    @classmethod
    def given(
        cls,
        step: StepFacts,
        *,
        version: int,
        colour: str | None,
        materials: MaterialChoices,
        places: Sequence[tuple[str, str]] = (),
    ) -> Self:
        """The form as posted, or a new one holding a step.

        `colour` is what its colour box shows at first; `places` are the numbers it may become, none for a step that
        has its place.
        """
        shown = colour or START_COLOUR
        known = {name: _typed(name, getattr(step, fact)) for name, fact in _FACTS.items()}
        colours = {"has_colour": step.colour is not None, "colour": shown}
        form = cls.from_request(**{**known, **colours}, at="", version=str(version))
        form.task, form.shown_colour = step.task, shown
        form.offer("aim", [*words_of(TASK_AIMS.get(step.task, ()), lambda aim: AIM_WORDS[aim].capitalize()), NOT_SAID])
        form.offer("product", [NOT_SAID, *words_of(products_for(step.task), lambda one: PRODUCTS[one].words)])
        form.material.choices = materials.grouped
        form.offer("at", [AT_THE_END, *places])
        form.ratio.description = _RATIO_HINTS.get(step.task, "Parts of the paint first, like 4:1.")
        form.keep_fields_of(step.task, has_places=bool(places))
        return form

    def keep_fields_of(self, task: Task, *, has_places: bool) -> None:
        """Leave out what a step of the task cannot say."""
        gone = [name for name, fact in _FACTS.items() if fact not in TASK_FACTS[task]]
        for name in [*gone, *(() if has_places else ("at",))]:
            del self[name]

    @property
    def main_fields(self) -> list[Any]:
        """The fields that are asked of every step of this task, in their order."""
        return [self[name] for name in _FACTS if name in self and not self._is_seldom(name)]

    @property
    def seldom_fields(self) -> list[Any]:
        """The fields that are folded away."""
        return [self[name] for name in _FACTS if name in self and self._is_seldom(name)]

    @property
    def is_unfolded(self) -> bool:
        """Whether one of the folded fields says something, or has something wrong."""
        return any(field.errors or (field.data and field.name != "colour") for field in self.seldom_fields)

    def _is_seldom(self, name: str) -> bool:
        return name in _SELDOM or (name in _MIXING and self.task not in _MIXED_MOSTLY)

    def validate(self, extra_validators: Any = None) -> bool:
        """Also: a ratio that can be mixed, and a ratio or a thinning, not both."""
        is_sound: bool = super().validate(extra_validators)
        if "ratio" in self and not self.ratio.errors:
            try:
                sound_ratio(self.ratio.data)
            except RuleError as refusal:
                self.refuse(refusal)
                return False
        if "thin" in self and self.thin.data and self.ratio.data:
            self.thin.errors = [*self.thin.errors, "Type a ratio or a thinning, not both: 4:1:10% says both at once."]
            return False
        return is_sound

    def facts(self) -> StepFacts:
        """The step as it was filled in; a colour that was chosen counts, tick or no tick."""
        said = {fact: self[name].data for name, fact in _FACTS.items() if name in self}
        kinds = {"part": Part, "aim": Aim, "product": Product, "grit_scale": GritScale, "way": Way}
        said |= {name: kind(said[name]) if said[name] else None for name, kind in kinds.items() if name in said}
        if "material_id" in said:
            chosen = said["material_id"]
            said["material_id"] = (row_number(chosen) or NO_SUCH_ROW) if chosen else None
        if "colour" in said:
            is_own = self.has_colour.data or said["colour"] not in {None, self.shown_colour}
            said["colour"] = said["colour"] if is_own else None
        said["coats"] = 1 if said.get("coats") is None else said["coats"]
        return StepFacts(task=self.task, **said)

    @property
    def place(self) -> int | None:
        """The number it is to become; None for the end."""
        return row_number(self.at.data or "") if "at" in self else None


class MoveForm(VersionedForm):
    """Moves a step a place up or down."""

    by = HiddenField()

    @property
    def direction(self) -> Direction:
        """Which way; refuses what is neither (RuleError)."""
        if self.by.data not in {"-1", "1"}:
            raise RuleError("A step moves a place up or a place down.")
        return -1 if self.by.data == "-1" else 1


class RemoveForm(VersionedForm):
    """Takes a step out."""


def _typed(name: str, said: Any) -> Any:
    """A fact as its field takes it: a choice is a word, "" for none."""
    if name in _CHOSEN:
        return "" if said is None else str(said)
    return said
