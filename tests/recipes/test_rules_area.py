"""Areas of pieces: face by face, in scale, with faces switched off, and honest about what is guessed."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.pieces.rules import Form
from app.recipes.rules import (
    RELIEF_FACTORS,
    RELIEF_WORDS,
    Build,
    Relief,
    area_faces,
    area_of,
    is_small,
    paintable_area_cm2,
    with_relief,
)

LENGTHS = st.integers(400, 3000)
CASES = (Form.CHEST, Form.DRESSER, Form.NIGHTSTAND, Form.CABINET, Form.SIDEBOARD, Form.WARDROBE, Form.TRUNK, Form.OTHER)


@given(st.sampled_from(CASES), LENGTHS, LENGTHS, LENGTHS)
def test_doubling_every_length_gives_four_times_the_area(form: Form, w: int, d: int, h: int) -> None:
    assert paintable_area_cm2(form, 2 * w, 2 * d, 2 * h) == 4 * paintable_area_cm2(form, w, d, h)


@given(LENGTHS, LENGTHS, LENGTHS, st.integers(5, 40))
def test_that_holds_for_a_table_when_all_its_parts_double(w: int, d: int, h: int, thick: int) -> None:
    small = Build(top_mm=thick, apron_mm=4 * thick, leg_around_mm=8 * thick)
    large = Build(top_mm=2 * thick, apron_mm=8 * thick, leg_around_mm=16 * thick)
    for form in (Form.TABLE, Form.SIDE_TABLE):
        area = paintable_area_cm2(form, w, d, h, small)
        assert paintable_area_cm2(form, 2 * w, 2 * d, 2 * h, large) == 4 * area


@given(st.sampled_from(list(Form)), LENGTHS, LENGTHS, LENGTHS)
def test_every_form_is_made_of_faces_each_with_its_own_key(form: Form, w: int, d: int, h: int) -> None:
    faces = area_faces(form, w, d, h)
    assert len({face.key for face in faces}) == len(faces)
    assert all(face.words and face.cm2 >= 0 for face in faces)
    usual = {face.key for face in faces if face.is_usual}
    assert paintable_area_cm2(form, w, d, h) == paintable_area_cm2(form, w, d, h, counted=usual) > 0
    assert area_of(faces, {face.key for face in faces}) == sum(face.cm2 for face in faces)


def test_drawer_fronts_lie_in_the_front_and_a_face_can_be_switched_off_and_on() -> None:
    faces = {face.key: face for face in area_faces(Form.CHEST, 1000, 500, 800)}
    assert {key: (int(face.cm2), face.is_usual) for key, face in faces.items()} == {
        "top": (5000, True),
        "sides": (8000, True),
        "front": (8000, True),
        "back": (8000, False),
        "underside": (5000, False),
        "door_backs": (8000, False),
        "inside": (26_000, False),
    }
    assert paintable_area_cm2(Form.CHEST, 1000, 500, 800) == 21_000
    assert paintable_area_cm2(Form.CHEST, 1000, 500, 800, counted=("top", "front")) == 13_000
    assert paintable_area_cm2(Form.CHEST, 1000, 500, 800, counted=("top", "no such face")) == 5000
    assert paintable_area_cm2(Form.CHEST, 1000, 500, 800, counted=()) == 0


def test_shelves_of_a_cabinet_are_offered_once_they_are_counted() -> None:
    without = {face.key for face in area_faces(Form.CABINET, 1000, 500, 800)}
    (shelves,) = (f for f in area_faces(Form.CABINET, 1000, 500, 800, Build(shelves=2)) if f.key not in without)
    assert shelves.cm2 == 20_000
    assert not shelves.is_usual


def test_an_open_bookcase_has_far_more_surface_than_a_closed_chest_of_its_size() -> None:
    sizes = (36 * 25, 12 * 25, 72 * 25)
    assert paintable_area_cm2(Form.BOOKCASE, *sizes) > 2 * paintable_area_cm2(Form.CHEST, *sizes)


def test_shelves_nobody_counted_are_a_guess() -> None:
    guessed = next(f for f in area_faces(Form.BOOKCASE, 900, 300, 1829) if f.key == "shelves")
    counted = next(f for f in area_faces(Form.BOOKCASE, 900, 300, 1829, Build(shelves=5)) if f.key == "shelves")
    assert (guessed.is_guess, counted.is_guess) == (True, False)
    assert guessed.cm2 == counted.cm2
    (one,) = (f for f in area_faces(Form.BOOKCASE, 900, 300, 300) if f.key == "shelves")
    assert one.words.startswith("One shelf")
    with pytest.raises(RuleError, match="0 to 40 shelves") as refused:
        area_faces(Form.BOOKCASE, 900, 300, 1829, Build(shelves=41))
    assert refused.value.field == "shelves"


def test_something_else_is_the_box_around_it_and_says_that_it_is_a_guess() -> None:
    faces = area_faces(Form.OTHER, 1000, 500, 800)
    assert paintable_area_cm2(Form.OTHER, 1000, 500, 800) == 29_000
    assert all(face.is_guess for face in faces)


def test_a_chair_or_stool_nobody_measured_is_a_usual_one() -> None:
    for form in (Form.CHAIR, Form.STOOL):
        faces = area_faces(form, None, None, None)
        assert area_of(faces) > 0
        assert any(face.is_guess for face in faces)
        assert is_small(form)
    assert paintable_area_cm2(Form.CHAIR, None, None, None) > paintable_area_cm2(Form.STOOL, None, None, None)
    assert not is_small(Form.CHEST)


def test_a_low_chair_has_no_back() -> None:
    assert {face.key for face in area_faces(Form.CHAIR, 450, 430, 400)} == {"seat", "legs", "stretchers", "apron"}


@pytest.mark.parametrize(
    ("form", "sizes", "field"),
    [
        (Form.CHEST, (None, 500, 800), "width_mm"),
        (Form.CHEST, (1000, None, 800), "depth_mm"),
        (Form.CHEST, (1000, 500, None), "height_mm"),
        (Form.BED, (1000, None, 800), "depth_mm"),
        (Form.MIRROR, (None, None, 800), "width_mm"),
        (Form.OTHER, (1000, 500, None), "height_mm"),
    ],
)
def test_a_missing_measure_is_refused_at_its_field(
    form: Form, sizes: tuple[int | None, int | None, int | None], field: str
) -> None:
    with pytest.raises(RuleError, match="is needed") as refused:
        area_faces(form, *sizes)
    assert refused.value.field == field


def test_measures_that_cannot_be_are_refused_at_their_field() -> None:
    for form, sizes, build, field in (
        (Form.CHEST, (0, 500, 800), Build(), "width_mm"),
        (Form.TABLE, (1000, 500, 25), Build(), "height_mm"),
        (Form.MIRROR, (600, 25, 800), Build(frame_mm=300), "width_mm"),
    ):
        with pytest.raises(RuleError) as refused:
            area_faces(form, *sizes, build)
        assert refused.value.field == field


def test_a_round_table_needs_no_depth_and_a_mirror_none() -> None:
    assert paintable_area_cm2(Form.TABLE, 1000, None, 740, Build(is_round=True)) > 0
    assert paintable_area_cm2(Form.MIRROR, 600, None, 800) > 0


def test_a_desk_without_pedestals_is_a_table() -> None:
    build = Build(pedestals=0)
    assert area_faces(Form.DESK, 1200, 600, 740, build) == area_faces(Form.TABLE, 1200, 600, 740, build)


def test_relief_adds_to_the_area_and_never_takes_off() -> None:
    assert list(RELIEF_FACTORS.values()) == sorted(RELIEF_FACTORS.values())
    assert (set(RELIEF_FACTORS), set(RELIEF_WORDS)) == (set(Relief), set(Relief))
    assert with_relief(Fraction(1000), RELIEF_FACTORS[Relief.CARVED]) == 1250
    carved = paintable_area_cm2(Form.CHEST, 1000, 500, 800, relief=RELIEF_FACTORS[Relief.CARVED])
    assert carved == 21_000 * Fraction(5, 4)
    for factor in (Fraction(99, 100), Fraction(3)):
        with pytest.raises(RuleError, match="from 1 to 2"):
            with_relief(Fraction(1000), factor)
