"""Shellac: flake for alcohol, alcohol for flake, and thinner cuts in both ways of reckoning."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.recipes.rules import (
    CUT_USES,
    DILUTION_WORDS,
    Dilution,
    alcohol_for,
    dilute_cut,
    flakes_for,
    grams_per_litre,
    made_ml,
    ounces_per_cup,
)

CUTS = st.fractions(Fraction(1, 10), 8, max_denominator=10)
VOLUMES = st.fractions(1, 20_000, max_denominator=100)


@given(CUTS)
def test_ounces_to_the_cup_are_pounds_to_the_gallon(cut: Fraction) -> None:
    assert ounces_per_cup(cut) == cut


@given(VOLUMES, CUTS)
def test_flake_and_alcohol_turn_into_each_other(alcohol: Fraction, cut: Fraction) -> None:
    assert alcohol_for(flakes_for(alcohol, cut), cut) == alcohol
    assert flakes_for(1000, cut) == grams_per_litre(cut)


@given(VOLUMES, CUTS, CUTS)
def test_the_flake_stays_when_a_cut_is_thinned(stock: Fraction, cut: Fraction, weaker: Fraction) -> None:
    if weaker >= cut:
        with pytest.raises(RuleError, match="only makes a cut weaker"):
            dilute_cut(stock, cut, weaker, Dilution.SIMPLE)
        return
    # Of the stock so much is alcohol; by the corrected reckoning its flake then stands at the weaker cut.
    alcohol = stock / made_ml(1, cut)
    added = dilute_cut(stock, cut, weaker, Dilution.CORRECTED)
    assert flakes_for(alcohol, cut) == flakes_for(alcohol + added, weaker)
    assert added < dilute_cut(stock, cut, weaker, Dilution.SIMPLE)


def test_the_uses_climb_with_the_cut_and_both_reckonings_have_a_name() -> None:
    assert [use.cut for use in CUT_USES] == [1, 2, 3]
    assert set(DILUTION_WORDS) == set(Dilution)


@pytest.mark.parametrize("cut", [0, -1, Fraction(81, 10)])
def test_what_is_no_cut_is_refused(cut: Fraction) -> None:
    for sum_of_it in (ounces_per_cup, grams_per_litre):
        with pytest.raises(RuleError, match="above 0 and at most 8"):
            sum_of_it(cut)
    with pytest.raises(RuleError, match="above 0 and at most 8"):
        dilute_cut(100, 2, cut, Dilution.SIMPLE)


def test_nothing_to_dissolve_or_thin_is_refused() -> None:
    with pytest.raises(RuleError, match="some alcohol"):
        flakes_for(0, 2)
    with pytest.raises(RuleError, match="some flake"):
        alcohol_for(0, 2)
    with pytest.raises(RuleError, match="some shellac"):
        dilute_cut(0, 2, 1, Dilution.SIMPLE)
