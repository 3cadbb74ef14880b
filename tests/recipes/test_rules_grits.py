"""Grades of abrasive: what their grains measure, on both scales."""

import pytest

from app.recipes.rules import GritScale, grain_um
from app.recipes.rules.grits import GRAIN_SIZES

P, CAMI = GritScale.P, GritScale.CAMI


@pytest.mark.parametrize("scale", GritScale)
def test_grains_get_finer_with_the_number(scale: GritScale) -> None:
    sizes = [GRAIN_SIZES[scale][number] for number in sorted(GRAIN_SIZES[scale])]
    assert sizes == sorted(set(sizes), reverse=True)


def test_a_grade_nobody_measured_has_no_size() -> None:
    assert (grain_um(180, P), grain_um(180, CAMI)) == (82, 82)
    assert (grain_um(240, P), grain_um(999, CAMI), grain_um(None, P)) == (None, None, None)
