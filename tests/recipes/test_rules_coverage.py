"""How far a coating goes, how much a job needs, and what waste counts once."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.recipes.rules import (
    CM2_PER_FT2,
    COATINGS,
    PRODUCTS,
    SPREADS,
    UM_PER_MIL,
    WAY_WORDS,
    Product,
    Ratio,
    Way,
    cm2_of_us_spread,
    cost_of,
    dry_film,
    material_needed,
    practical_coverage,
    theoretical_coverage_m2_per_l,
    thinned_solids,
    transfer_of,
    wet_film,
    wet_film_of_spread,
)
from app.shelf.rules import Measure, Unit, measure_size

SHARES = st.fractions(Fraction(1, 100), 1, max_denominator=1000)
FILMS = st.fractions(Fraction(1, 10), 1000, max_denominator=100)
AREAS = st.fractions(1, 1_000_000, max_denominator=100)


@given(FILMS, SHARES)
def test_a_film_dried_and_laid_on_again_is_the_same(wet: Fraction, solids: Fraction) -> None:
    assert wet_film(dry_film(wet, solids), solids) == wet


@given(FILMS, SHARES)
def test_coverage_and_wet_film_tell_the_same(film_um: Fraction, solids: Fraction) -> None:
    # One m2 to the litre is 10 cm2 to the ml.
    spread = 10 * theoretical_coverage_m2_per_l(solids, film_um)
    assert wet_film_of_spread(spread) == wet_film(film_um, solids)


def test_some_films_and_rates_worked_out_by_hand() -> None:
    # Computed from the definitions.
    a_gallon = theoretical_coverage_m2_per_l(Fraction(38, 100), Fraction(3, 2) * UM_PER_MIL) * 10 / cm2_of_us_spread(1)
    assert float(a_gallon) == pytest.approx(406.4, abs=0.05)
    assert theoretical_coverage_m2_per_l(Fraction(38, 100), 38) == 10
    assert float(wet_film_of_spread(cm2_of_us_spread(350)) / UM_PER_MIL) == pytest.approx(4.583, abs=0.0005)
    assert float(wet_film_of_spread(cm2_of_us_spread(400))) == pytest.approx(101.9, abs=0.05)
    assert float(dry_film(8, Fraction(35, 100))) == pytest.approx(2.80)
    assert float(dry_film(8, thinned_solids(Fraction(35, 100), 10_00))) == pytest.approx(2.545, abs=0.0005)


@pytest.mark.parametrize("solids", [0, -1, Fraction(101, 100), 45])
def test_solids_are_a_part_of_one(solids: Fraction) -> None:
    with pytest.raises(RuleError, match="by volume"):
        theoretical_coverage_m2_per_l(solids, 40)
    with pytest.raises(RuleError, match="by volume"):
        dry_film(100, solids)


@pytest.mark.parametrize("film", [0, -25])
def test_a_film_of_nothing_is_refused(film: int) -> None:
    with pytest.raises(RuleError, match="more than nothing"):
        theoretical_coverage_m2_per_l(Fraction(1, 2), film)


def test_a_loss_and_a_share_that_stays_on_are_never_both_taken() -> None:
    assert practical_coverage(100) == 100
    assert practical_coverage(100, loss=Fraction(3, 10)) == practical_coverage(100, transfer=Fraction(7, 10)) == 70
    with pytest.raises(RuleError, match="not both"):
        practical_coverage(100, loss=Fraction(3, 10), transfer=Fraction(7, 10))


@pytest.mark.parametrize("given_share", [{"loss": 1}, {"loss": -1}, {"transfer": 0}, {"transfer": 2}])
def test_a_loss_of_all_and_a_share_over_one_are_refused(given_share: dict[str, int]) -> None:
    with pytest.raises(RuleError, match="less than 100 %"):
        practical_coverage(100, **given_share)


@given(AREAS, st.integers(1, 12), SHARES, st.integers(0, 100_00))
def test_what_is_mixed_covers_the_job_and_its_waste(
    area: Fraction, coats: int, transfer: Fraction, residue: int
) -> None:
    need = material_needed(area, coats, 86, transfer, residue_hundredths=residue, ratio=Ratio((1, 4), 5_00))
    assert need.on_the_piece == area * coats / 86
    assert need.mixed >= need.on_the_piece
    assert sum(need.parts) == need.mixed
    assert need.parts[1] == 4 * need.parts[0]
    assert need.parts[2] == (need.parts[0] + need.parts[1]) / 20


def test_a_small_piece_takes_more_of_a_spray_and_no_more_of_a_brush() -> None:
    assert transfer_of(Way.SPRAY, is_small=True).usual < transfer_of(Way.SPRAY).usual
    assert transfer_of(Way.BRUSH, is_small=True) == transfer_of(Way.BRUSH)


@pytest.mark.parametrize("way", list(Way))
def test_every_way_keeps_a_part_of_one_and_says_where_that_is_from(way: Way) -> None:
    for transfer in (transfer_of(way), transfer_of(way, is_small=True)):
        assert 0 < transfer.low <= transfer.usual <= transfer.high <= 1
        assert transfer.source
    assert WAY_WORDS[way]


@pytest.mark.parametrize("product", list(Product))
def test_every_sort_that_leaves_a_coat_has_a_spread_with_its_source(product: Product) -> None:
    spread = SPREADS.get(product)
    leaves_a_coat = bool({*PRODUCTS[product].tasks} & COATINGS) or product is Product.GRAIN_FILLER
    assert (spread is not None) is leaves_a_coat
    if spread:
        assert 0 < spread.low <= spread.usual <= spread.high
        assert spread.source


def test_a_spread_by_weight_is_reckoned_to_the_pound() -> None:
    assert SPREADS[Product.PASTE_WAX].unit is Unit.G
    assert SPREADS[Product.PASTE_WAX].usual_cm2 == 150 * CM2_PER_FT2 / measure_size(Measure.LB)
    assert cm2_of_us_spread(350) == 350 * CM2_PER_FT2 / measure_size(Measure.GALLON)


@pytest.mark.parametrize(
    ("job", "words"),
    [
        ((0, 2, 86, 1, 0), "something to coat"),
        ((100, 0, 86, 1, 0), "1 to 12 coats"),
        ((100, 13, 86, 1, 0), "1 to 12 coats"),
        ((100, 2, 0, 1, 0), "rate on the label"),
        ((100, 2, 86, 0, 0), "above 0 %"),
        ((100, 2, 86, 1, 100_01), "from 0 to 100"),
        ((100, 2, 86, 1, -1), "from 0 to 100"),
    ],
)
def test_what_is_no_job_is_refused(job: tuple[int, int, int, int, int], words: str) -> None:
    *wanted, residue = job
    with pytest.raises(RuleError, match=words):
        material_needed(*wanted, residue_hundredths=residue)


def test_cost_stays_exact_until_it_is_shown() -> None:
    assert cost_of(Fraction(1, 3), Fraction(5, 2)) == Fraction(5, 6)
