"""The moisture of wood, against one cell of the handbook's table.

Source: USDA Wood Handbook, chapter 4, 70 degrees Fahrenheit and 50 %: 9.2 %. From memory: the table itself was not
opened. The coefficients in degrees Fahrenheit are from memory too; those in Celsius, ours, were read in a public
program that cites the same source, and the two sets agree.
"""

import pytest

from app.recipes.rules import equilibrium_moisture


def by_fahrenheit(t: float, h: float) -> float:
    w = 330 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 0.000463 * t - 0.000000844 * t**2
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
    once, twice = k1 * k * h, k1 * k2 * k**2 * h**2
    return 1800 / w * (k * h / (1 - k * h) + (once + 2 * twice) / (1 + once + twice))


def test_the_cell_for_seventy_degrees_and_half_humidity() -> None:
    assert round(equilibrium_moisture((70 - 32) / 1.8, 50), 1) == 9.2


@pytest.mark.parametrize("fahrenheit", [50, 60, 70, 80, 90])
@pytest.mark.parametrize("rh", [25, 30, 40, 50, 60, 65, 70, 80, 90])
def test_both_sets_of_coefficients_agree(fahrenheit: int, rh: int) -> None:
    ours = equilibrium_moisture((fahrenheit - 32) / 1.8, rh)
    assert ours == pytest.approx(by_fahrenheit(fahrenheit, rh / 100), abs=0.015)
