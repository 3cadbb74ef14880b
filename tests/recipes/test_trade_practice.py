"""What finishers take for granted, as it comes out of the sums: common practice, no source.

A wash of one part of paint in four of water, or in three; paint thinned by a tenth of itself; two coats for full cover,
of which a brush keeps a twentieth, and a tenth of what is mixed left in can and tool.
"""

from fractions import Fraction

import pytest

from app.basics.quantities import Units
from app.pieces.rules import Age
from app.recipes.rules import (
    USUAL_COATS,
    USUAL_SCUFF_GRIT,
    USUAL_WASH,
    Aim,
    Level,
    OldFinish,
    Product,
    StepFacts,
    Surface,
    Task,
    Way,
    check_order,
    habit_of,
    material_needed,
    mix_by_parts,
    parse_ratio,
    transfer_of,
)
from app.recipes.rules.sums import mix_answer, thinned_paint


@pytest.mark.parametrize(("typed", "paint", "water"), [("1:4", "100 ml", "400 ml"), ("1:3", "125 ml", "375 ml")])
def test_a_wash_making_half_a_litre(typed: str, paint: str, water: str) -> None:
    answer = mix_answer(parse_ratio(typed), 500, None, 0, Units.METRIC)
    assert [line.amount.own for line in answer.lines] == [paint, water]


def test_the_usual_wash_making_half_a_litre() -> None:
    assert list(mix_by_parts(500, USUAL_WASH.all_parts)) == [100, 400]


def test_a_quart_thinned_by_a_tenth() -> None:
    # 32 fl oz are 946.35 ml.
    thinned = thinned_paint(Fraction("946.352946"), None, 10_00, None, Units.IMPERIAL)
    assert (thinned.thinner.own, thinned.total.own, thinned.is_much) == ("3.2 fl oz", "35.2 fl oz", False)
    assert thinned_paint(1000, None, 10_01, None, Units.METRIC).is_much


def test_two_brushed_coats_with_what_is_lost_of_them() -> None:
    # A square metre at 10 m2 to the litre takes 100 ml a coat: 200 / 0.95 x 1.1.
    need = material_needed(10_000, USUAL_COATS, 100, transfer_of(Way.BRUSH).usual)
    assert need.on_the_piece == 200
    assert float(need.mixed) == pytest.approx(231.58, abs=0.005)


@pytest.mark.parametrize(
    ("task", "aim", "said"),
    [
        (Task.SAND, Aim.SCUFF, "180 scuffs a sound old finish"),
        (Task.SAND, Aim.LEVEL, "80 takes a rough or over-sprayed film off first"),
        (Task.STRIP, None, "about 60 minutes; in hot weather cover it"),
        (Task.WASH, None, "within about half a minute"),
        (Task.CLEAN, Aim.DEGREASE, "Degrease before sanding and before any coat"),
        (Task.PRIME, Aim.BLOCK_STAINS, "over red woods, stains and mixed old finishes before light paint"),
        (Task.PAINT, None, "2 coats for full cover"),
        (Task.CLEAR_COAT, None, "comes last"),
        (Task.WAX, None, "comes last"),
    ],
)
def test_the_habit_of_a_step_is_said_beside_it_and_marked(task: Task, aim: Aim | None, said: str) -> None:
    habit = habit_of(task, aim)
    assert habit is not None
    assert said in habit.words
    assert habit.source == "common practice, no source"


def test_a_finish_by_these_habits_meets_no_stop_and_no_warning_of_the_checks() -> None:
    film = Surface(old_finish=OldFinish.CLEAR, age=Age.AFTER_1978, woods="mahogany")
    steps = [
        StepFacts(Task.CLEAN, aim=Aim.DEGREASE, product=Product.CLEANER),
        StepFacts(Task.SAND, aim=Aim.SCUFF, grit=USUAL_SCUFF_GRIT),
        StepFacts(Task.CLEAN, aim=Aim.REMOVE_DUST),
        StepFacts(Task.PRIME, aim=Aim.BLOCK_STAINS, product=Product.BLOCKING_PRIMER),
        StepFacts(Task.PAINT, product=Product.WATERBORNE_PAINT, coats=USUAL_COATS, colour="#f4f1ea"),
        StepFacts(Task.CLEAR_COAT, product=Product.WATERBORNE_CLEAR),
    ]
    assert [found.rule for found in check_order(steps, film) if found.level is not Level.NOTE] == []
    without_primer = [step for step in steps if step.task is not Task.PRIME]
    assert any(found.level is Level.STOP for found in check_order(without_primer, film))
    assert any(found.level is not Level.NOTE for found in check_order([steps[1], steps[0], *steps[2:]], film))
