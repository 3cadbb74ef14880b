"""Areas of usual pieces, and paint for one of them: computed, no published source.

No published standard for the surface of furniture was found. Each piece was worked out by hand in inches; whole inches
are exact here, so the square inches are met exactly, but for the round top. The amounts of paint follow from 350 ft2
to the gallon, two coats.
"""

from fractions import Fraction

import pytest

from app.basics.quantities import MM_PER_INCH
from app.pieces.rules import Form
from app.recipes.rules import (
    RELIEF_FACTORS,
    Build,
    Relief,
    Way,
    area_faces,
    cm2_of_us_spread,
    material_needed,
    paintable_area_cm2,
    transfer_of,
)
from app.shelf.rules import Measure, measure_size

CM2_PER_IN2 = (MM_PER_INCH / 10) ** 2
AS_IT_IS = Build()


def inch(number: int | str) -> Fraction:
    return Fraction(number) * MM_PER_INCH


def sides(sizes: str) -> tuple[Fraction, Fraction, Fraction]:
    width, depth, height = (inch(size) for size in sizes.split("x"))
    return width, depth, height


def square_inches(form: Form, sizes: str, build: Build = AS_IT_IS, relief: Relief = Relief.FLAT) -> Fraction:
    return paintable_area_cm2(form, *sides(sizes), build, relief=RELIEF_FACTORS[relief]) / CM2_PER_IN2


def face(key: str, form: Form, sizes: str, build: Build = AS_IT_IS) -> Fraction:
    faces = area_faces(form, *sides(sizes), build)
    return sum((one.cm2 for one in faces if one.key == key), Fraction(0)) / CM2_PER_IN2


@pytest.mark.parametrize(
    ("form", "sizes", "build", "in2"),
    [
        (Form.CHEST, "36x18x48", AS_IT_IS, 4104),
        (Form.DRESSER, "60x18x32", AS_IT_IS, 4152),
        (Form.NIGHTSTAND, "20x16x26", AS_IT_IS, 1672),
        (Form.SIDEBOARD, "54x18x34", AS_IT_IS, 4032),
        (Form.TABLE, "60x36x30", AS_IT_IS, 4184),
        (Form.TABLE, "60x36x30", Build(apron_length_mm=inch(168), apron_mm=inch(4), leg_around_mm=inch(10)), 4184),
        (Form.CHAIR, "18x17x37", AS_IT_IS, 2108),
        (Form.BOOKCASE, "36x12x72", Build(shelves=5), 10_800),
        (Form.MIRROR, "30x1x40", Build(frame_mm=inch(3)), 640),
        (Form.TRUNK, "36x20x20", AS_IT_IS, 2960),
        (Form.BENCH, "48x14x18", AS_IT_IS, 1782),
        (Form.DESK, "48x24x29", AS_IT_IS, 5440),
        (Form.BED, "62x80x48", AS_IT_IS, 3416 + 2480 + 1440),
    ],
)
def test_the_area_of_a_usual_piece(form: Form, sizes: str, build: Build, in2: int) -> None:
    assert square_inches(form, sizes, build) == in2


def test_the_parts_of_a_bed() -> None:
    bed = {key: face(key, Form.BED, "62x80x48") for key in ("head", "head_edges", "foot", "rails")}
    assert bed["head"] + bed["head_edges"] == 3416
    assert bed["foot"] == 2480
    assert bed["rails"] == 1440


def test_the_parts_of_a_slat_back_chair() -> None:
    parts = [face(key, Form.CHAIR, "18x17x37") for key in ("seat", "legs", "posts", "slats", "stretchers", "apron")]
    assert parts == [612, 408, 240, 288, 240, 320]


def test_a_round_top_and_its_edge() -> None:
    round_top = Build(is_round=True)
    assert float(face("top", Form.TABLE, "42x42x30", round_top)) == pytest.approx(1385.4, abs=0.05)
    assert float(face("edges", Form.TABLE, "42x42x30", round_top)) == pytest.approx(131.9, abs=0.06)


def test_a_chest_with_its_edges_is_a_tenth_more() -> None:
    assert square_inches(Form.CHEST, "36x18x48", relief=Relief.EDGES) == Fraction("4514.4")


def test_a_plain_chair_lies_within_the_rule_of_thumb() -> None:
    # 10 to 15 square feet: common practice, no source.
    assert 10 * 144 <= paintable_area_cm2(Form.CHAIR, None, None, None) / CM2_PER_IN2 <= 15 * 144


@pytest.mark.parametrize(
    ("transfer", "residue", "fl_oz", "ml"),
    [
        (Fraction(1), 0, 22.93, 678),
        (Fraction(1), 10_00, 25.22, 746),
        (transfer_of(Way.SPRAY).usual, 0, 35.28, 1043),
    ],
)
def test_paint_for_the_chest_with_its_edges(transfer: Fraction, residue: int, fl_oz: float, ml: int) -> None:
    area = Fraction("4514.4") * CM2_PER_IN2
    mixed = material_needed(area, 2, cm2_of_us_spread(350), transfer, residue_hundredths=residue).mixed
    assert float(mixed / measure_size(Measure.FL_OZ)) == pytest.approx(fl_oz, abs=0.005)
    assert round(mixed) == ml
