"""The search beside simpler rules on the family it was chosen on: never worse, and better than the usual ways."""

import pytest

from app.bench.rules import USUAL_EVALUATIONS, by_value, first_in, greedy_plan, plan
from tests.bench.feasible import faults, starts_of
from tests.builders.evenings import WORKSHOP, evenings, pieces


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 5])
@pytest.mark.parametrize(("count", "weeks"), [(8, 6), (15, 8), (25, 10)])
def test_the_search_beats_value_order_and_first_in(count: int, weeks: int, seed: int) -> None:
    jobs, windows = pieces(count, seed), evenings(weeks)
    found = plan(jobs, windows, WORKSHOP, evaluations=USUAL_EVALUATIONS, seed=1)

    assert found.left_over == ()
    assert found.evaluations == USUAL_EVALUATIONS
    assert faults(jobs, windows, WORKSHOP, starts_of(found)) == []
    assert found.value <= greedy_plan(jobs, windows, WORKSHOP).value
    assert found.value < by_value(jobs, windows, WORKSHOP).value
    assert found.value < first_in(jobs, windows, WORKSHOP).value
