"""How cold it may be to coat, against the Wood Handbook.

Source: USDA Wood Handbook, chapter 16, https://fliphtml5.com/kbpub/hdrb/Wood_Handbook/378 (latex at 10 degrees or
above and staying there for 24 hours; oil and alkyd at 4 degrees or above). The range of 50 to 90 degrees Fahrenheit is
that of http://www.extension.iastate.edu/forestry/forest_products/finishext.html.
"""

import pytest

from app.recipes.rules import Base, Level, air_findings


@pytest.mark.parametrize(("base", "coldest"), [(Base.WATERBORNE, 10), (Base.OIL, 4)])
def test_below_its_coldest_a_coating_is_stopped_and_at_it_not(base: Base, coldest: float) -> None:
    assert [one.level for one in air_findings(coldest - 0.1, 40, base=base)] == [Level.STOP]
    assert Level.STOP not in [one.level for one in air_findings(coldest, 40, base=base)]


def test_a_waterborne_coat_near_its_coldest_is_told_to_stay_above_for_a_day() -> None:
    (note,) = air_findings(10, 40, base=Base.WATERBORNE)
    assert (note.level, "24 hours" in note.words) == (Level.NOTE, True)


def test_the_extension_services_range() -> None:
    assert [one.level for one in air_findings((49 - 32) / 1.8, 40, base=Base.OIL)] == [Level.WARN]
    assert air_findings((51 - 32) / 1.8, 40, base=Base.OIL) == ()
    assert [one.level for one in air_findings((91 - 32) / 1.8, 40, base=Base.OIL)] == [Level.WARN]
