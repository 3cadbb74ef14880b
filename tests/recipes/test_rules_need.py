"""How much to mix, in words: which rate counts, what each part is called, what it costs, what to look out for."""

from dataclasses import replace
from fractions import Fraction

import pytest

from app.basics.errors import RuleError
from app.basics.quantities import Units
from app.recipes.rules import CM2_PER_FT2, SPREADS, Level, Product, Ratio, Way, cm2_of_us_spread
from app.recipes.rules.sums import CoatingJob, Priced, need_answer
from app.shelf.rules import Unit

US = Units.IMPERIAL
PAINT = Product.WATERBORNE_PAINT
SAGE = Priced(7, "Sage paint", Unit.ML, Fraction(2))
JOB = CoatingJob(350 * CM2_PER_FT2, PAINT, 1, Way.BRUSH, residue_hundredths=0, spread=cm2_of_us_spread(350))


def test_a_gallons_worth_of_surface_takes_a_gallon_and_what_the_brush_keeps() -> None:
    answer = need_answer(JOB, US)
    assert answer.mixed.own == "134.7 fl oz"
    assert answer.parts == (("Waterborne paint", answer.mixed),)
    assert {line.words: line.figure for line in answer.lines} == {
        "Surface": "350 ft²",
        "Coats": "1",
        "One coat goes": "350 ft² a gallon",
        "Stays on the piece": "95%",
        "Left in can and tool": "0%",
    }
    assert (answer.cost_cents, answer.notes) == (None, ())


def test_the_rate_typed_goes_before_the_label_and_the_label_before_the_rule() -> None:
    labelled = replace(SAGE, spread_hundredths=8_00)

    def rate(job: CoatingJob) -> tuple[str, str]:
        line = need_answer(job, Units.METRIC).lines[2]
        return line.figure, line.source.split(";")[0]

    assert rate(replace(JOB, priced=labelled)) == ("8.6 m² a litre", "as you typed it")
    assert rate(replace(JOB, priced=labelled, spread=None)) == ("8 m² a litre", "by the label of Sage paint")
    assert rate(replace(JOB, priced=SAGE, spread=None))[1] == SPREADS[PAINT].source.split(";")[0]


def test_the_parts_carry_their_names_and_only_the_paint_costs() -> None:
    job = replace(JOB, ratio=Ratio((1, 3, 1, 1), 10_00), mixed_with="rain water", priced=SAGE)
    answer = need_answer(job, US)
    assert [name for name, _shown in answer.parts] == [
        "Sage paint",
        "Rain water",
        "Third part",
        "Fourth part",
        "Thinner",
    ]
    # A gallon over 0.95, of which 1 part in 6.6 is paint at 2 cents the ml.
    assert answer.cost_cents == 1207


def test_what_is_sold_by_weight_is_reckoned_by_weight_and_costs_only_what_is_weighed() -> None:
    wax = replace(JOB, product=Product.PASTE_WAX, spread=None)
    answer = need_answer(replace(wax, priced=SAGE), US)
    assert answer.mixed.own.endswith(" oz")
    assert answer.cost_cents is None
    (note,) = answer.notes
    assert (note.level, "measured another way" in note.words) == (Level.NOTE, True)
    weighed = Priced(8, "Brown wax", Unit.G, Fraction(1))
    assert need_answer(replace(wax, priced=weighed), US).cost_cents


@pytest.mark.parametrize(
    ("product", "thin", "is_warned"),
    [
        (PAINT, 10_00, False),
        (PAINT, 15_00, True),
        (Product.WATERBORNE_CLEAR, 15_00, True),
        (Product.PAINT_WASH, 15_00, False),
        (Product.OIL_PAINT, 15_00, False),
    ],
)
def test_a_full_waterborne_coat_thinned_much_is_warned_of(product: Product, thin: int, is_warned: bool) -> None:  # noqa: FBT001
    notes = need_answer(replace(JOB, product=product, ratio=Ratio((1,), thin)), US).notes
    assert [one.level for one in notes] == [Level.WARN] * is_warned


def test_a_wash_without_its_parts_asks_for_them() -> None:
    wash = replace(JOB, product=Product.PAINT_WASH)
    (note,) = need_answer(wash, US).notes
    assert (note.level, "like 1:4" in note.words) == (Level.NOTE, True)
    mixed = need_answer(replace(wash, ratio=Ratio((1, 3))), US)
    assert ([name for name, _shown in mixed.parts], mixed.notes) == (["Paint", "Water"], ())


def test_two_coats_are_known_as_common_practice() -> None:
    assert need_answer(JOB, US).lines[1].source == ""
    assert "common practice" in need_answer(replace(JOB, coats=2), US).lines[1].source


def test_a_set_says_how_many_it_is_of_and_nothing_to_coat_is_refused() -> None:
    assert need_answer(replace(JOB, alike=4), US).lines[0].source == "4 alike"
    with pytest.raises(RuleError, match="something to coat"):
        need_answer(replace(JOB, area_cm2=Fraction(0)), US)
