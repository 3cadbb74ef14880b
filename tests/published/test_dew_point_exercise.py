"""A dew point, against a physics exercise with its answer.

Source: https://assignmentexpert.com/homework-answers/physics/molecular-physics-thermodynamics/question-86009 (22
degrees and 78 %: 17.98 degrees, worked with other constants, which lie within 0.35 degrees of ours).
"""

import pytest

from app.recipes.rules import dew_point_c


def test_twenty_two_degrees_and_seventy_eight_percent() -> None:
    assert dew_point_c(22, 78) == pytest.approx(17.98, abs=0.02)
