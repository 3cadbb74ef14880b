"""The small sums in words: a mix, a shellac cut, coverage and the air."""

from fractions import Fraction

import pytest

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.recipes.rules import Base, Dilution, Way, parse_ratio
from app.recipes.rules.sums import air_answer, coverage_answer, mix_answer, shellac_answer

US, METRIC = Units.IMPERIAL, Units.METRIC
SOLIDS = Fraction(38, 100)


def test_a_mix_by_its_total_and_by_what_is_in_hand_are_the_same() -> None:
    by_total = mix_answer(parse_ratio("1:4"), 500, None, 0, METRIC)
    by_part = mix_answer(parse_ratio("1:4"), None, 400, 1, METRIC)
    assert by_total == by_part
    assert [(line.parts, line.share, line.amount.own) for line in by_total.lines] == [
        ("1", "20%", "100 ml"),
        ("4", "80%", "400 ml"),
    ]
    assert by_total.total.words == "500 ml (16.9 fl oz)"


def test_thinner_stands_last_and_is_known_as_such() -> None:
    answer = mix_answer(parse_ratio("4:1:10%"), 550, None, 0, METRIC)
    assert [(line.is_thinner, line.amount.own) for line in answer.lines] == [
        (False, "400 ml"),
        (False, "100 ml"),
        (True, "50 ml"),
    ]


def test_a_mix_of_nothing_is_refused() -> None:
    with pytest.raises(RuleError, match="more than nothing"):
        mix_answer(parse_ratio("1:4"), 0, None, 0, METRIC)
    with pytest.raises(RuleError, match="What you have"):
        mix_answer(parse_ratio("1:4"), None, 0, 0, METRIC)


def test_flake_and_alcohol_of_a_cut_both_ways() -> None:
    pint = Fraction("473.176473")
    by_alcohol = shellac_answer(2, pint, None, None, None, units=US)
    assert by_alcohol.thinned is None
    assert by_alcohol.dissolved is not None
    assert (by_alcohol.dissolved.flakes.own, by_alcohol.dissolved.alcohol.own) == ("4 oz", "16 fl oz")
    assert (by_alcohol.dissolved.makes.own, by_alcohol.dissolved.to_a_cup) == ("19.2 fl oz", "2 oz")
    by_flake = shellac_answer(2, None, Fraction("113.3980925"), None, None, units=US)
    assert by_flake.dissolved == by_alcohol.dissolved


def test_a_cut_is_thinned_in_both_reckonings() -> None:
    answer = shellac_answer(3, None, None, 100, 1, units=METRIC)
    assert answer.dissolved is None
    assert answer.thinned is not None
    assert answer.thinned.added[Dilution.SIMPLE].own == "200 ml"
    assert answer.thinned.added[Dilution.CORRECTED].own == "154 ml"
    with pytest.raises(RuleError, match="above 0"):
        shellac_answer(0, None, None, None, None, units=METRIC)


def test_coverage_from_a_dry_and_from_a_wet_film() -> None:
    dry = coverage_answer(SOLIDS, 38, is_wet=False, thin_hundredths=0, loss=None, way=None, units=METRIC)
    assert (dry.theoretical.words, dry.wet.own, dry.practical) == ("10 m² a litre (407 ft² a gallon)", "100 µm", None)
    wet = coverage_answer(SOLIDS, 100, is_wet=True, thin_hundredths=0, loss=None, way=None, units=METRIC)
    assert wet == dry


def test_coverage_less_a_loss_or_by_a_way_and_thinned() -> None:
    lost = coverage_answer(SOLIDS, 38, is_wet=False, thin_hundredths=0, loss=Fraction(3, 10), way=None, units=METRIC)
    assert lost.practical is not None
    assert (lost.practical.own, lost.lost, lost.source) == ("7 m² a litre", "30%", "")
    sprayed = coverage_answer(SOLIDS, 38, is_wet=False, thin_hundredths=10_00, loss=None, way=Way.SPRAY, units=METRIC)
    assert sprayed.practical is not None
    assert (sprayed.solids, sprayed.practical.own, sprayed.lost) == ("34.55%", "5.9 m² a litre", "35%")
    assert "65 %" in sprayed.source
    with pytest.raises(RuleError, match="not both"):
        coverage_answer(SOLIDS, 38, is_wet=False, thin_hundredths=0, loss=SOLIDS, way=Way.SPRAY, units=METRIC)


def test_the_air_in_words() -> None:
    answer = air_answer(20, 50, None, Base.WATERBORNE, METRIC)
    assert (answer.dew_point.own, answer.least_surface.own) == ("9.3 °C", "12.3 °C")
    assert (answer.advice, answer.moisture, answer.stretch, answer.is_at_cap) == ((), "9.3 %", "1.1", False)
    damp = air_answer(20, 99, None, Base.WATERBORNE, METRIC)
    assert (damp.stretch, damp.is_at_cap, len(damp.advice)) == ("4", True, 2)
