"""Sizes of abrasive grains as a sanding step shows them, against a dictionary of units.

Source: http://sizes.com/tools/sandpaper.htm (P40 to P120 and CAMI 40 to 100). Finer grades are from a maker's chart and
are not checked here. That the two scales part after 220, so that 400 CAMI is about P800:
https://ptwoodschool.org/blog/2009/02/true-grit_12.html.
"""

import pytest

from app.recipes.rules import GritScale, grain_um

P = {40: 425, 50: 336, 60: 269, 80: 201, 100: 162, 120: 125}
CAMI = {40: 428, 50: 351, 60: 268, 80: 192, 100: 141}


@pytest.mark.parametrize(
    ("number", "scale", "um"),
    [
        (number, scale, um)
        for scale, table in ((GritScale.P, P), (GritScale.CAMI, CAMI))
        for number, um in table.items()
    ],
)
def test_a_grade_that_was_read(number: int, scale: GritScale, um: int) -> None:
    assert grain_um(number, scale) == um


def test_400_on_the_other_scale_is_finer_than_p600() -> None:
    other, p600 = grain_um(400, GritScale.CAMI), grain_um(600, GritScale.P)
    assert other is not None
    assert p600 is not None
    assert other < p600
