"""The moisture of wood, against a trade magazine's rule of thumb.

Source: https://www.woodworkingnetwork.com/magazine/fdmc-magazine/rh-equivalent (30, 50, 65 and 80 % humidity: wood at
about 6, 9, 12 and 16 %). A rule of thumb in whole percents, without a temperature: met to half a percent at 21
degrees.
"""

import pytest

from app.recipes.rules import equilibrium_moisture


@pytest.mark.parametrize(("rh", "thumb"), [(30, 6), (50, 9), (65, 12), (80, 16)])
def test_the_rule_of_thumb(rh: int, thumb: int) -> None:
    assert equilibrium_moisture(21, rh) == pytest.approx(thumb, abs=0.5)
