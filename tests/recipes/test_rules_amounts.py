"""How much of a material a coat takes: from the owner's own uses, else from the surface."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.pieces.rules import Form
from app.recipes.rules import (
    NO_LABEL,
    Label,
    Measures,
    Part,
    Product,
    StepFacts,
    Task,
    Way,
    amount_for,
    area_faces,
    area_of_part,
    paintable_area_cm2,
)
from app.shelf.rules import Unit

# The chest of the reference's worked check: 36 x 18 x 48 inches, 4,104 square inches without its back.
CHEST = Measures(Form.CHEST, 914, 457, 1219)
PAINT = StepFacts(Task.PAINT, product=Product.WATERBORNE_PAINT)


def milli(step: StepFacts, measures: Measures = CHEST, label: Label = NO_LABEL, unit: Unit = Unit.ML) -> int | None:
    amount = amount_for(step, measures, unit, label=label)
    return amount.milli if amount else None


def test_from_three_uses_on_the_median_counts() -> None:
    used = amount_for(PAINT, CHEST, Unit.ML, label=NO_LABEL, used_before=(100_000, 900_000, 200_000))
    assert used is not None
    assert (used.milli, used.words) == (200_000, "Your median of 3 times.")
    fewer = amount_for(PAINT, CHEST, Unit.ML, label=NO_LABEL, used_before=(100_000, 900_000))
    assert fewer is not None
    assert fewer.words.startswith("A guess")


def test_one_coat_on_the_chest_takes_about_what_the_sum_by_hand_gives() -> None:
    # 28.5 square feet at 350 to the gallon is 308.2 ml on the piece; by brush 95 % stays on, and 10 % stays in the can.
    expected = Fraction("28.5") / 350 * Fraction("3785.411784") / Fraction("0.95") * Fraction("1.10")
    assert milli(PAINT) == pytest.approx(float(expected * 1000), rel=0.002)


def test_of_a_wash_only_its_part_of_paint_comes_off_the_shelf() -> None:
    wash = StepFacts(Task.WASH, product=Product.PAINT_WASH)
    whole, mixed = milli(wash), milli(StepFacts(Task.WASH, product=Product.PAINT_WASH, ratio="1:4"))
    assert whole is not None
    assert mixed == pytest.approx(whole / 5, abs=1)


def test_thinned_by_a_tenth_it_takes_a_tenth_of_the_paint_less() -> None:
    thinned = milli(StepFacts(Task.PAINT, product=Product.WATERBORNE_PAINT, thin_hundredths=10_00))
    assert thinned == pytest.approx((milli(PAINT) or 0) / 1.1, abs=1)


def test_the_label_goes_before_the_rule() -> None:
    # The rule is 350 square feet to the gallon, 8.59 m2 to the litre: a label of twice that halves the amount.
    assert milli(PAINT, label=Label(spread_hundredths=1718)) == pytest.approx((milli(PAINT) or 0) / 2, rel=0.001)


def test_more_goes_past_a_chair_under_a_spray_gun() -> None:
    chair = Measures(Form.CHAIR, None, None, None)
    brushed, sprayed = milli(PAINT, chair), milli(StepFacts(**{**vars(PAINT), "way": Way.SPRAY}), chair)
    assert brushed is not None
    assert sprayed is not None
    assert sprayed > 2 * brushed


def test_a_set_takes_as_often_as_much() -> None:
    four = Measures(Form.CHAIR, None, None, None, count=4)
    assert milli(PAINT, four) == pytest.approx(4 * (milli(PAINT, Measures(Form.CHAIR, None, None, None)) or 0), abs=4)


@pytest.mark.parametrize(
    ("step", "measures", "unit"),
    [
        (PAINT, Measures(Form.CHEST, None, 457, 1219), Unit.ML),
        (StepFacts(Task.PAINT), CHEST, Unit.ML),
        (StepFacts(Task.SAND, grit=180), CHEST, Unit.SHEET),
        (StepFacts(Task.PAINT, Part.HEADBOARD, product=Product.WATERBORNE_PAINT), CHEST, Unit.ML),
        (StepFacts(Task.WAX, product=Product.PASTE_WAX), CHEST, Unit.ML),
    ],
)
def test_where_nobody_can_tell_nothing_is_filled_in(step: StepFacts, measures: Measures, unit: Unit) -> None:
    assert amount_for(step, measures, unit, label=NO_LABEL) is None


@given(
    st.sampled_from(Form), st.sampled_from(Part), st.integers(200, 2000), st.integers(200, 2000), st.integers(200, 2000)
)
def test_a_part_is_never_more_than_all_faces_and_halves_make_the_whole(
    form: Form, part: Part, width: int, depth: int, height: int
) -> None:
    faces = area_faces(form, width, depth, height)
    area = area_of_part(faces, part, form)
    assert area is None or 0 <= area <= sum((face.cm2 for face in faces), Fraction(0))
    halves = [area_of_part(faces, half, form) or Fraction(0) for half in (Part.LEFT_HALF, Part.RIGHT_HALF)]
    assert sum(halves, Fraction(0)) == paintable_area_cm2(form, width, depth, height)


def test_the_parts_of_a_trunk_and_of_a_sideboard_are_its_walls_and_half_its_front() -> None:
    trunk = area_faces(Form.TRUNK, 914, 508, 508)
    body, lid = (area_of_part(trunk, part, Form.TRUNK) for part in (Part.BODY, Part.LID))
    assert (body or 0) + (lid or 0) == paintable_area_cm2(Form.TRUNK, 914, 508, 508)
    side = area_faces(Form.SIDEBOARD, 1400, 460, 860)
    drawers, doors = (area_of_part(side, part, Form.SIDEBOARD) or 0 for part in (Part.DRAWERS, Part.DOORS))
    assert drawers == doors
    assert drawers + doors == Fraction(1400 * 860, 100)
    assert area_of_part(side, Part.LID, Form.SIDEBOARD) is None
