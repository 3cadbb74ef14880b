"""Read a recipe as it will be worked, and an earlier edition of it beside the one after."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.models import Piece
from app.pieces.rules import Age, Caution, shown_name
from app.recipes.models import Finish, Recipe, RecipeEdition, RecipeOverrule, RecipeStep
from app.recipes.queries.steps import StepRow, facts_of_step, step_rows
from app.recipes.rules import (
    FINISH_STATE_WORDS,
    EditionChange,
    Finding,
    FinishState,
    Part,
    RecipeFacts,
    StepFacts,
    Surface,
    Task,
    cautions_for_step,
    check_order,
    edition_changes,
)

_OF_NO_PIECE: Final = Surface(age=Age.AFTER_1978)


@dataclass(frozen=True)
class EditionRow:
    """One edition of a recipe, and on how many pieces it was begun."""

    id: int
    number: int
    made_at: datetime
    pieces: int


@dataclass(frozen=True)
class RecipeUse:
    """A finish that was begun by a recipe: on which piece, when, by which edition."""

    piece_tag: str
    piece_name: str
    begun_on: date
    edition: int
    state: FinishState

    @property
    def state_words(self) -> str:
        """How far it has come."""
        return FINISH_STATE_WORDS[self.state]


@dataclass(frozen=True)
class Overruled:
    """A check the owner overruled for steps of a task on a part, and why; the last word on it."""

    rule: str
    task: Task | None
    part: Part | None
    note: str
    made_at: datetime


@dataclass(frozen=True)
class RecipeSheet:
    """One recipe as it will be worked: its newest edition, the earlier ones with the newest first, and its uses."""

    id: int
    version: int
    facts: RecipeFacts
    made_at: datetime
    edition: EditionRow
    steps: tuple[StepRow, ...]
    earlier: tuple[EditionRow, ...]
    uses: tuple[RecipeUse, ...]
    findings: tuple[Finding, ...]
    overruled: tuple[Overruled, ...]

    @property
    def standing(self) -> list[Finding]:
        """What its order breaks and nobody overruled, by the place of the step."""
        overruled = {(one.rule, one.task, one.part) for one in self.overruled}
        return [finding for finding in self.findings if self._told_of(finding) not in overruled]

    @property
    def set_aside(self) -> list[tuple[Finding, Overruled]]:
        """What its order breaks and the owner overruled, each overruling once, with the owner's reason."""
        broken = {self._told_of(finding): finding for finding in reversed(self.findings)}
        aside = (((one.rule, one.task, one.part), one) for one in self.overruled)
        return [(broken[told_of], one) for told_of, one in aside if told_of in broken]

    def standing_of(self, level: str) -> list[Finding]:
        """What of it is of a level."""
        return [finding for finding in self.standing if finding.level == level]

    def standing_at(self, place: int) -> list[Finding]:
        """What of it concerns the step at a place, counted from 0."""
        return [finding for finding in self.standing if finding.place == place]

    def overruled_before(self, rule: str, step: StepFacts | None) -> list[Overruled]:
        """What the owner said before of a check on such a step."""
        told_of = (rule, step.task if step else None, step.part if step else None)
        return [one for one in self.overruled if (one.rule, one.task, one.part) == told_of]

    def _told_of(self, finding: Finding) -> tuple[str, Task | None, Part | None]:
        """What an overruling holds for: the check, and the task and the part of the step it is about."""
        if finding.place is None:
            return finding.rule, None, None
        step = self.steps[finding.place].facts
        return finding.rule, step.task, step.part

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What can hurt somebody in any of its steps, each once; what a piece brings along is told at the piece."""
        told = (cautions_for_step(step.known, _OF_NO_PIECE) for step in self.steps)
        return tuple({one.key: one for cautions in told for one in cautions}.values())

    @property
    def name(self) -> str:
        """What the owner calls it."""
        return self.facts.name

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts its steps are done to, each once."""
        return tuple(dict.fromkeys(step.facts.part for step in self.steps))

    @property
    def is_fixed(self) -> bool:
        """Whether its newest edition was used, so that the next change makes another."""
        return self.edition.pieces > 0

    @property
    def minutes(self) -> int:
        """Minutes of work for all its steps and coats."""
        return sum(step.all_minutes for step in self.steps)

    @property
    def coats(self) -> int:
        """How many coats go on."""
        return sum(step.facts.coats for step in self.steps if step.facts.is_coating)


@dataclass(frozen=True)
class EditionSheet:
    """One edition of a recipe, and what the one after it changed; nothing where it is the newest."""

    recipe_id: int
    recipe_name: str
    edition: EditionRow
    newest: int
    steps: tuple[StepRow, ...]
    changes: tuple[EditionChange, ...]

    @property
    def is_newest(self) -> bool:
        """Whether the recipe stands as this edition says."""
        return self.edition.number == self.newest


def recipe_by_id(session: Session, recipe_id: int) -> RecipeSheet:
    """A recipe as it will be worked; raises NotFound. The same few queries for any number of steps and uses."""
    recipe = session.get(Recipe, recipe_id)
    if recipe is None:
        raise NotFound("recipe")
    newest, *earlier = _editions(session, RecipeEdition.recipe_id == recipe_id)
    steps = step_rows(session, stored_steps(session, newest.id))
    return RecipeSheet(
        id=recipe.id,
        version=recipe.version,
        facts=recipe_facts(recipe),
        made_at=recipe.made_at,
        edition=newest,
        steps=tuple(steps),
        earlier=tuple(earlier),
        uses=tuple(_uses_of(session, recipe_id)),
        findings=tuple(_findings(steps)),
        overruled=tuple(_overruled(session, recipe_id)),
    )


def recipe_of_step(session: Session, step_id: int) -> tuple[int, int]:
    """The recipe of a step and the number of the edition it stands in; raises NotFound."""
    query = select(RecipeEdition.recipe_id, RecipeEdition.number).join(
        RecipeStep, RecipeStep.edition_id == RecipeEdition.id
    )
    found = session.execute(query.where(RecipeStep.id == step_id)).first()
    if found is None:
        raise NotFound("step")
    return found[0], found[1]


def edition_by_number(session: Session, recipe_id: int, number: int) -> EditionSheet:
    """One edition of a recipe and what the one after it changed; raises NotFound."""
    recipe = session.get(Recipe, recipe_id)
    editions = {row.number: row for row in _editions(session, RecipeEdition.recipe_id == recipe_id)}
    if recipe is None or number not in editions:
        raise NotFound("edition")
    steps = step_rows(session, stored_steps(session, editions[number].id))
    after = editions.get(number + 1)
    then = [facts_of_step(row) for row in stored_steps(session, after.id)] if after else []
    return EditionSheet(
        recipe_id=recipe_id,
        recipe_name=recipe.name,
        edition=editions[number],
        newest=max(editions),
        steps=tuple(steps),
        changes=tuple(edition_changes([row.facts for row in steps], then)) if after else (),
    )


def stored_steps(session: Session, edition_id: int) -> list[RecipeStep]:
    """The steps of an edition in their order, as they stand in the ledger."""
    query = select(RecipeStep).where(RecipeStep.edition_id == edition_id)
    return list(session.scalars(query.order_by(RecipeStep.position, RecipeStep.id)))


def recipe_facts(recipe: Recipe) -> RecipeFacts:
    """What is said of a recipe beside its steps."""
    return RecipeFacts(recipe.name, recipe.note, recipe.is_put_away)


def _editions(session: Session, chosen: ColumnElement[bool]) -> list[EditionRow]:
    """Editions with the newest first, each with the number of pieces it was begun on, struck finds too."""
    query = (
        select(
            RecipeEdition.id,
            RecipeEdition.number,
            RecipeEdition.made_at,
            func.count(func.distinct(Finish.piece_id)),
        )
        .outerjoin(Finish, Finish.edition_id == RecipeEdition.id)
        .where(chosen)
        .group_by(RecipeEdition.id, RecipeEdition.number, RecipeEdition.made_at)
        .order_by(RecipeEdition.number.desc())
    )
    return [EditionRow(*row) for row in session.execute(query)]


def _uses_of(session: Session, recipe_id: int) -> list[RecipeUse]:
    query = (
        select(Piece.tag, Piece.title, Piece.form, Finish.begun_on, RecipeEdition.number, Finish.state)
        .join(Finish, Finish.piece_id == Piece.id)
        .join(RecipeEdition, RecipeEdition.id == Finish.edition_id)
        .where(RecipeEdition.recipe_id == recipe_id, Piece.struck_at.is_(None))
        .order_by(Finish.begun_on.desc(), Finish.id.desc())
    )
    return [
        RecipeUse(tag, shown_name(title, form), begun_on, number, state)
        for tag, title, form, begun_on, number, state in session.execute(query)
    ]


def _findings(steps: Sequence[StepRow]) -> list[Finding]:
    labels = {step.facts.material_id: step.label for step in steps if step.facts.material_id is not None}
    return check_order([step.facts for step in steps], labels=labels) if steps else []


def _overruled(session: Session, recipe_id: int) -> list[Overruled]:
    query = select(RecipeOverrule).where(RecipeOverrule.recipe_id == recipe_id).order_by(RecipeOverrule.id)
    last = {
        (row.rule, row.task, row.part): Overruled(row.rule, row.task, row.part, row.note, row.made_at)
        for row in session.scalars(query)
    }
    return list(last.values())
