"""How much more of a coating a spray takes, against an air district's rule.

Source: http://www.aqmd.gov/home/permits/spray-equipment-transfer-efficiency (equipment must show that 65 % of the
solids sprayed stay on, or as much as high volume, low pressure).
"""

from fractions import Fraction

from app.basics.quantities import Units
from app.recipes.rules import WAY_WORDS, Way, material_needed, transfer_of
from app.recipes.rules.sums import coverage_answer


def test_of_what_such_a_gun_is_given_65_in_100_stay_on() -> None:
    assert "high volume, low pressure" in WAY_WORDS[Way.SPRAY]
    need = material_needed(6500, 1, 100, transfer_of(Way.SPRAY).usual, residue_hundredths=0)
    assert [need.on_the_piece, need.mixed] == [65, 100]


def test_a_can_goes_65_hundredths_as_far_and_the_page_says_whose_figure_that_is() -> None:
    solids = Fraction(40, 100)
    answer = coverage_answer(solids, 40, is_wet=False, thin_hundredths=0, loss=None, way=Way.SPRAY, units=Units.METRIC)
    assert answer.practical is not None
    assert (answer.theoretical.own, answer.practical.own, answer.lost) == ("10 m² a litre", "6.5 m² a litre", "35%")
    assert "high-volume, low-pressure guns" in answer.source
