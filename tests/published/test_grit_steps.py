"""How large a step of sanding may be, against a how-to page.

Source: https://winenfood.com/using-the-correct-sandpaper-grit-at-each-stage (skip no more than one grade of 60, 80,
100, 120, 150, 180, 220, 240, 320, 400).
"""

from itertools import combinations

from app.recipes.rules import Aim, check_order
from tests.recipes.steps import PLAIN, sand

PRINTED = (60, 80, 100, 120, 150, 180, 220, 240, 320, 400)


def test_a_step_is_warned_of_just_when_more_than_one_grade_is_skipped() -> None:
    for before, after in combinations(range(len(PRINTED)), 2):
        steps = [sand(PRINTED[place], Aim.LEVEL) for place in (before, after)]
        is_warned = "grit_jump" in {finding.rule for finding in check_order(steps, PLAIN)}
        assert is_warned == (after - before > 2), (PRINTED[before], PRINTED[after])
