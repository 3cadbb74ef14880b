"""A finish as pages show it: its piece, its steps as done and still to do, and what was overruled."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from app.pieces.queries import PieceRow
from app.recipes.queries.steps import SaidStep
from app.recipes.rules import (
    ORDER_RULES,
    Base,
    Drying,
    FinishState,
    Habit,
    Label,
    Part,
    StepFacts,
    StepState,
    base_of,
    drying_stretch,
    habit_of,
    is_next,
    parts_meet,
    reach,
    ready_from,
    steps_before,
)
from app.shelf.rules import Unit


@dataclass(frozen=True)
class MaterialOfStep:
    """The material of a step: what it is called and how it is measured."""

    id: int
    name: str
    unit: Unit
    colour: str | None


@dataclass(frozen=True)
class FinishStepRow(SaidStep):
    """One step of a finish: what it says, how far it has come, and what it really took.

    `minutes` are those of its entries of time that count; `cost_cents` what the shelf charged for its use.
    """

    id: int
    version: int
    finish_id: int
    recipe_step_id: int | None
    position: int
    coat: int
    coats_in_all: int
    facts: StepFacts
    material: MaterialOfStep | None
    label: Label
    drying: Drying
    state: StepState
    started_at: datetime | None
    done_at: datetime | None
    ready_at: datetime | None
    closes_at: datetime | None
    cured_at: datetime | None
    minutes: int
    used_milli: int | None
    use_id: int | None
    cost_cents: int | None
    temp_tenths: int | None
    humidity: int | None
    done_note: str

    @property
    def words(self) -> str:
        """What is done, with its coat where there are several."""
        return (
            f"{self.facts.words}, coat {self.coat} of {self.coats_in_all}"
            if self.coats_in_all > 1
            else self.facts.words
        )

    @property
    def part(self) -> Part:
        """The part it is done to."""
        return self.facts.part

    @property
    def reach(self) -> Part:
        """The part whose other work it waits for."""
        return reach(self.facts.task, self.facts.part)

    @property
    def habit(self) -> Habit | None:
        """What finishers do as a rule in such a step."""
        return habit_of(self.facts.task, self.facts.aim)

    @property
    def works_until(self) -> datetime | None:
        """Until when what was put on is left to work, once it is begun; None where it is not left."""
        if self.started_at is None or self.known.dwell is None:
            return None
        return self.started_at + timedelta(minutes=self.known.dwell)

    @property
    def likely_ready_at(self) -> datetime | None:
        """When it is likely dry in the air it was put on in: an estimate; None where that is no later than reckoned."""
        if self.done_at is None or self.ready_at is None or self.temp_tenths is None or self.humidity is None:
            return None
        base = base_of(self.known.product) or Base.OTHER
        stretch = drying_stretch(self.temp_tenths / 10, self.humidity, base) if self.facts.is_coating else 1.0
        likely = self.done_at + timedelta(minutes=round(self.drying.recoat * stretch))
        return likely if likely > self.ready_at else None

    @property
    def colour(self) -> str | None:
        """Its own colour, else that of its material where it is a coat that shows one."""
        return self.facts.colour or (self.material.colour if self.material and self.facts.is_coating else None)

    @property
    def is_over(self) -> bool:
        """Whether it is done or left out."""
        return self.state in {StepState.DONE, StepState.LEFT_OUT}


@dataclass(frozen=True)
class Overruling:
    """A check the owner overruled for one step, and why."""

    rule: str
    step_id: int
    note: str

    @property
    def words(self) -> str:
        """What the check says; the air's own words are those of the day."""
        return ORDER_RULES[self.rule].words if self.rule in ORDER_RULES else "The air of the room"


@dataclass(frozen=True)
class FinishSheet:
    """A finish with its piece, the recipe it was made by, its steps and, read by its number, what was overruled.

    `covered_by_id` is the finish that was put over it since; `beside` are the steps done in its piece's other finishes.
    """

    id: int
    version: int
    piece: PieceRow
    name: str
    recipe_id: int | None
    recipe_name: str
    edition: int | None
    redo_of_id: int | None
    redo_of_name: str
    covered_by_id: int | None
    made_for: str
    state: FinishState
    begun_on: date
    ended_on: date | None
    stopped_reason: str
    made_at: datetime
    steps: tuple[FinishStepRow, ...]
    overruled: tuple[Overruling, ...]
    beside: tuple[FinishStepRow, ...] = ()

    @property
    def number_done(self) -> int:
        """How many of its steps are over."""
        return sum(step.is_over for step in self.steps)

    @property
    def minutes(self) -> int:
        """Minutes worked on it."""
        return sum(step.minutes for step in self.steps)

    @property
    def cost_cents(self) -> int:
        """What the shelf charged for it."""
        return sum(step.cost_cents or 0 for step in self.steps)

    @property
    def coated(self) -> frozenset[Part]:
        """The parts it puts a coat on."""
        coats = (step for step in self.steps if step.facts.is_coating and step.state is not StepState.LEFT_OUT)
        return frozenset(step.part for step in coats)

    @property
    def unnamed(self) -> int:
        """How many of its coats name no material of the shelf, so that nothing of what they use is charged."""
        coats = (step for step in self.steps if step.facts.is_coating and step.state is not StepState.LEFT_OUT)
        return sum(step.material is None for step in coats)

    @property
    def parts_words(self) -> str:
        """The parts it is on, each once, in words; nothing where it is on all of the piece."""
        parts = dict.fromkeys(step.facts.part_words for step in self.steps if step.part is not Part.WHOLE)
        return ", ".join(parts)

    @property
    def colour(self) -> str | None:
        """The colour of its last coloured coat that was not left out, as it shows on the piece."""
        coats = (step.colour for step in reversed(self.steps) if step.state is not StepState.LEFT_OUT)
        return next((colour for colour in coats if colour), None)

    def drying(self, now: datetime) -> list[FinishStepRow]:
        """What dries, the one dry first first; a coat that was gone over since, here or elsewhere, does no more."""
        worked = [step for step in self.steps if step.state in {StepState.STARTED, StepState.DONE}]
        done = [step for step in worked if step.state is StepState.DONE]
        top = [step for step in done if not any(_goes_over(each, step) for each in (*worked, *self.beside))]
        drying = [(step.ready_at, step.position, step) for step in top if step.ready_at and step.ready_at > now]
        return [step for *_, step in sorted(drying)]

    def overruled_for(self, step: FinishStepRow) -> dict[str, str]:
        """Why checks do not hold for a step, by rule."""
        return {each.rule: each.note for each in self.overruled if each.step_id == step.id}

    def is_next(self, step: FinishStepRow) -> bool:
        """Whether a step waits for nothing but drying."""
        return self.state is FinishState.UNDER_WAY and is_next(self.steps, self.steps.index(step))

    def dry_from(self, step: FinishStepRow) -> datetime | None:
        """From when what a step goes over is dry, of this finish and of others; None where nothing under it dries."""
        under = [each.ready_at for each in self.beside if parts_meet(each.reach, step.reach)]
        times = [time for time in (ready_from(self.steps, self.steps.index(step)), *under) if time is not None]
        return max(times, default=None)

    def after(self, step: FinishStepRow) -> FinishStepRow | None:
        """The first step still to be ended that goes over it; None where nothing does, or the finish is not gone on."""
        if self.state is not FinishState.UNDER_WAY:
            return None
        waiting = (each for each in self.steps if each.position > step.position and not each.is_over)
        return next((each for each in waiting if step in self.before(each)), None)

    def ready_for(self, step: FinishStepRow) -> str:
        """What a step is ready for once it is dry, to stand before a time: the next coat, the next step, or nothing."""
        then = self.after(step)
        return "Next coat" if then and then.facts.is_coating else "Next step" if then else "Dry"

    def before(self, step: FinishStepRow) -> list[FinishStepRow]:
        """The steps that must be done before it, the last on each part it meets."""
        return [self.steps[place] for place in steps_before(self.steps, self.steps.index(step))]


def _goes_over(later: FinishStepRow, step: FinishStepRow) -> bool:
    """Whether work went over all of what a step was done to, after it."""
    is_later = later.done_at is not None and step.done_at is not None and later.done_at > step.done_at
    is_after = later.finish_id == step.finish_id and later.position > step.position
    return (is_later or is_after) and later.facts.is_coating and later.part in {step.part, Part.WHOLE}
