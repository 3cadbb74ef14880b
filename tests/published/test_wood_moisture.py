"""The moisture of wood, against figures a wood scientist worked out from the handbook's equations.

Source: http://gowood.blogspot.com/2013/09/wood-science-10114-equilibrium-moisture.html (65 degrees Fahrenheit: 11.1 %
at 60 % humidity, 6.2 % at 30 %).
"""

import pytest

from app.recipes.rules import equilibrium_moisture

SIXTY_FIVE_F = (65 - 32) / 1.8


@pytest.mark.parametrize(("rh", "printed"), [(60, 11.1), (30, 6.2)])
def test_a_published_figure(rh: int, printed: float) -> None:
    assert equilibrium_moisture(SIXTY_FIVE_F, rh) == pytest.approx(printed, abs=0.06)
