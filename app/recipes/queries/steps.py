"""Read steps, of recipes and of finishes alike: their facts, materials, drying and how long they take."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.recipes.models import FinishStep, RecipeStep, StepColumns
from app.recipes.queries.labels import labels_of
from app.recipes.queries.learned import LearnedMinutes, learned_minutes
from app.recipes.rules import (
    NO_LABEL,
    PRODUCTS,
    WAY_WORDS,
    Drying,
    Estimate,
    Label,
    Product,
    StepFacts,
    drying_of,
    grain_um,
    mix_words,
)
from app.shelf.models import Material
from app.shelf.rules import Unit

_FACTS = tuple(field.name for field in fields(StepFacts))


class SaidStep:
    """What a step says together with the label of its material, of a recipe and of a finish alike."""

    facts: StepFacts
    label: Label

    @property
    def known(self) -> StepFacts:
        """What it says, with the sort of product and the time to work of its label where it says none itself."""
        dwell = self.label.dwell if self.facts.dwell is None else self.facts.dwell
        return replace(self.facts, product=self.facts.product or self.label.product, dwell=dwell)

    @property
    def product_words(self) -> str:
        """The sort of product; nothing where nobody said."""
        product = self.known.product
        return PRODUCTS[product].words if product else ""

    @property
    def mix(self) -> str:
        """How it is mixed or thinned, in words; nothing where it is not."""
        return mix_words(self.facts)

    @property
    def way_words(self) -> str:
        """What it is put on with; nothing where nobody said."""
        return WAY_WORDS[self.facts.way] if self.facts.way else ""


@dataclass(frozen=True)
class StepRow(SaidStep):
    """One step as a page shows it; `minutes` is the work of one coat, `drying` what the label and the rules make of it.

    The material's name, unit and colour are None where the step names none.
    """

    id: int
    position: int
    facts: StepFacts
    material_name: str | None
    material_unit: Unit | None
    material_colour: str | None
    label: Label
    drying: Drying
    minutes: Estimate

    @property
    def colour(self) -> str | None:
        """Its own colour, else that of its material."""
        return self.facts.colour or self.material_colour

    @property
    def product(self) -> Product | None:
        """The sort of product: as the step says, else as the label does."""
        return self.known.product

    @property
    def grain_words(self) -> str:
        """How large the grains of its grit are, like "P180, about 82 µm"; nothing where that is not known."""
        um = grain_um(self.facts.grit, self.facts.grit_scale)
        return "" if um is None else f"{self.facts.grit_words}, about {um} µm"

    @property
    def dwell(self) -> int | None:
        """Minutes it is left to work: as the step says, else as the label does."""
        return self.known.dwell

    @property
    def drying_source(self) -> str:
        """Whence a time by the rule comes; nothing for one of the step or the label."""
        return PRODUCTS[self.product].source if self.product else ""

    @property
    def all_minutes(self) -> int:
        """Minutes of work for all its coats."""
        return self.minutes.minutes * self.facts.coats


def facts_of_step(row: StepColumns) -> StepFacts:
    """What a stored step says, of a recipe or of a finish."""
    return StepFacts(**{name: getattr(row, name) for name in _FACTS})


def step_rows(session: Session, rows: Sequence[RecipeStep] | Sequence[FinishStep]) -> list[StepRow]:
    """Steps as pages show them, in the order given; three queries for any number of them."""
    materials = materials_of(session, rows)
    labels, learned = labels_of(session, list(materials)), learned_minutes(session)
    return [_row(row, materials, labels, learned) for row in rows]


def step_by_id(session: Session, step_id: int) -> StepRow:
    """A step of a recipe by its number; raises NotFound."""
    row = session.get(RecipeStep, step_id)
    if row is None:
        raise NotFound("step")
    return step_rows(session, [row])[0]


def materials_of(session: Session, rows: Iterable[StepColumns]) -> dict[int, Material]:
    """The materials that steps name, by their number; one query."""
    ids = {row.material_id for row in rows} - {None}
    return {row.id: row for row in session.scalars(select(Material).where(Material.id.in_(ids)))} if ids else {}


def _row(
    row: RecipeStep | FinishStep,
    materials: Mapping[int, Material],
    labels: Mapping[int, Label],
    learned: LearnedMinutes,
) -> StepRow:
    facts = facts_of_step(row)
    material = materials.get(facts.material_id or 0)
    label = labels.get(facts.material_id or 0, NO_LABEL)
    return StepRow(
        id=row.id,
        position=row.position,
        facts=facts,
        material_name=material.name if material else None,
        material_unit=material.unit if material else None,
        material_colour=material.colour if material else None,
        label=label,
        drying=drying_of(facts, label),
        minutes=learned.estimate(facts),
    )
