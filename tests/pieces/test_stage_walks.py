"""Whatever moves the rules allow, a piece is where its standing steps say, and its days add up."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.pieces.rules import (
    UNDOES,
    Leaving,
    Stage,
    StepKind,
    StepRow,
    last_standing,
    require_dates_in_order,
    require_here,
    require_kind,
    require_on_hand,
    stage_on_coming_back,
    stage_since,
    standing_steps,
    time_in_stages,
)

MADE = datetime(2026, 1, 1, tzinfo=UTC)
FIRST = date(2026, 1, 1)

WISHES = st.lists(
    st.tuples(st.sampled_from(list(StepKind)), st.sampled_from(list(Stage)), st.integers(0, 9)), max_size=40
)


@dataclass
class Walk:
    """A piece led by wishes; those the rules refuse are passed over."""

    steps: list[StepRow] = field(default_factory=list)
    stage: Stage = Stage.SOURCED
    left_as: Leaving | None = None
    day: date = FIRST

    def add(self, kind: StepKind, to_stage: Stage) -> None:
        before = self.stage if self.steps else None
        self.steps.append(StepRow(len(self.steps) + 1, kind, before, to_stage, self.day, "why", MADE))
        self.stage = to_stage

    def wish(self, kind: StepKind, to_stage: Stage) -> None:
        if kind is StepKind.OUT:
            require_on_hand(self.stage, self.left_as)
            self.left_as = Leaving.KEPT
            self.add(kind, self.stage)
        elif kind is StepKind.IN_AGAIN and self.left_as is not None:
            self.left_as = None
            self.add(kind, stage_on_coming_back(self.stage))
        else:
            require_here(self.left_as)
            require_kind(kind, self.stage, to_stage, "why")
            if kind in UNDOES and last_standing(self.steps).kind is not UNDOES[kind]:
                raise RuleError("It has moved since.")
            self.add(kind, to_stage)


def walked(wishes: list[tuple[StepKind, Stage, int]]) -> Walk:
    walk = Walk()
    walk.add(StepKind.START, Stage.SOURCED)
    for kind, to_stage, gap in wishes:
        walk.day += timedelta(days=gap)
        try:
            walk.wish(kind, to_stage)
        except RuleError:
            continue
    return walk


@given(WISHES)
def test_a_piece_is_where_its_standing_steps_say(wishes: list[tuple[StepKind, Stage, int]]) -> None:
    walk = walked(wishes)
    standing = standing_steps(walk.steps)
    assert standing[-1].to_stage is walk.stage
    assert (standing[-1].kind is StepKind.OUT) is (walk.left_as is not None)
    assert FIRST <= stage_since(walk.steps) <= walk.day
    for before, after in pairwise(standing):
        assert before.on_date <= after.on_date


@given(WISHES)
def test_time_in_stages_is_the_time_neither_sold_nor_away(wishes: list[tuple[StepKind, Stage, int]]) -> None:
    walk = walked(wishes)
    today = walk.day + timedelta(days=5)
    standing = standing_steps(walk.steps)
    gone = 0
    for place, step in enumerate(standing):
        until = standing[place + 1].on_date if place + 1 < len(standing) else today
        gone += (until - step.on_date).days if step.kind is StepKind.OUT or step.to_stage is Stage.SOLD else 0
    spells = time_in_stages(walk.steps, today)
    assert sum(spell.days for spell in spells) + gone == (today - FIRST).days
    assert sum(spell.is_now for spell in spells) == (walk.left_as is None and walk.stage is not Stage.SOLD)


@given(WISHES)
def test_dates_left_as_they_are_are_always_in_order(wishes: list[tuple[StepKind, Stage, int]]) -> None:
    walk = walked(wishes)
    same = {step.id: step.on_date for step in walk.steps}
    assert require_dates_in_order(walk.steps, same, FIRST, walk.day) == walk.steps
