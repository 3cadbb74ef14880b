"""Parts of a mix add up, whatever the ratio; thinning is a share of the paint; what makes no mix is refused."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.recipes.rules import (
    Ratio,
    dilute,
    mix_by_parts,
    mix_from_part,
    parse_ratio,
    scale_mix,
    shares_of_mix,
    thin,
    thin_to_volume,
    thinned_solids,
)

PARTS = st.lists(st.fractions(0, 1000, max_denominator=100), min_size=1, max_size=5).filter(any)
VOLUMES = st.fractions(Fraction(1, 100), 100_000, max_denominator=1000)


def exact(*amounts: int | str) -> tuple[Fraction, ...]:
    return tuple(Fraction(amount) for amount in amounts)


@given(VOLUMES, PARTS)
def test_the_parts_always_add_up_to_the_total(total: Fraction, parts: list[Fraction]) -> None:
    amounts = mix_by_parts(total, parts)
    assert sum(amounts) == total
    assert [amount * sum(parts) for amount in amounts] == [total * part for part in parts]


@given(VOLUMES, PARTS, VOLUMES)
def test_a_mix_scaled_there_and_back_is_the_same(total: Fraction, parts: list[Fraction], jar: Fraction) -> None:
    amounts = mix_by_parts(total, parts)
    scaled = scale_mix(amounts, jar)
    assert sum(scaled) == jar
    assert scale_mix(scaled, total) == amounts


@given(VOLUMES, PARTS, st.integers(0, 4))
def test_from_one_part_the_others_follow(total: Fraction, parts: list[Fraction], place: int) -> None:
    amounts = mix_by_parts(total, parts)
    if place < len(parts) and parts[place]:
        assert mix_from_part(amounts[place], place, parts) == amounts
    else:
        with pytest.raises(RuleError, match="none of that part"):
            mix_from_part(total, place, parts)


def test_ninety_of_paint_at_one_to_four_takes_the_rest() -> None:
    assert mix_from_part(90, 0, (1, 4)) == exact(90, 360)
    assert mix_from_part(90, 1, (1, 4)) == exact("22.5", 90)


def test_one_to_four_is_a_fifth_and_not_a_quarter() -> None:
    assert shares_of_mix((1, 4)) == (Fraction(1, 5), Fraction(4, 5))


@pytest.mark.parametrize(
    ("total", "parts", "words"),
    [
        (500, (0, 0), "more than 0"),
        (500, (1, -4), "below zero"),
        (500, (), "needs parts"),
        (0, (1, 4), "more than nothing"),
        (-500, (1, 4), "more than nothing"),
    ],
)
def test_what_makes_no_mix_is_refused(total: int, parts: tuple[int, ...], words: str) -> None:
    with pytest.raises(RuleError, match=words):
        mix_by_parts(total, parts)


def test_nothing_in_hand_or_no_such_place_is_refused() -> None:
    with pytest.raises(RuleError, match="What you have"):
        mix_from_part(0, 0, (1, 4))
    with pytest.raises(RuleError, match="none of that part"):
        mix_from_part(90, -1, (1, 4))
    with pytest.raises(RuleError, match="needs parts"):
        mix_from_part(90, 0, ())


@pytest.mark.parametrize(
    ("typed", "parts", "thin_hundredths", "written"),
    [
        ("1:4", (1, 4), 0, "1:4"),
        (" 1 : 4 ", (1, 4), 0, "1:4"),
        ("4:1:10%", (4, 1), 10_00, "4:1:10%"),
        ("4 : 1 : 7.5 %", (4, 1), 7_50, "4:1:7.5%"),
        ("1:10%", (1,), 10_00, "1:10%"),
        ("2.5:1", (Fraction(5, 2), 1), 0, "2.5:1"),
        ("0:1", (0, 1), 0, "0:1"),
        ("10:20:300", (10, 20, 300), 0, "10:20:300"),
    ],
)
def test_a_ratio_is_read_as_it_is_typed(typed: str, parts: tuple[int, ...], thin_hundredths: int, written: str) -> None:
    ratio = parse_ratio(typed)
    assert ratio == Ratio(parts, thin_hundredths)
    assert ratio.words == written


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "with colons"),
        ("4", "two parts"),
        ("1-4", "with colons"),
        ("1:", "with colons"),
        ("1::4", "with colons"),
        ("-1:4", "with colons"),
        ("1:-4", "with colons"),
        ("1:2,5", "with a point"),
        ("10%:1", "with colons"),
        ("1:4:10%:1", "with colons"),
        ("1:4:150%", "0 to 100"),
        ("1:2:3:4:5", "at most 4"),
        ("1:1001", "at most 1,000"),
        ("1:1.234", "with colons"),
        ("0:0", "more than 0"),
        ("0:0:10%", "more than 0"),
        ("NaN:1", "with colons"),
        ("1:٣", "with colons"),
        ("9" * 5000 + ":1", "with colons"),
    ],
)
def test_what_is_no_ratio_is_refused_with_words(typed: str, words: str) -> None:
    with pytest.raises(RuleError, match=words):
        parse_ratio(typed)


@given(
    st.lists(st.integers(1, 100_000).map(lambda part: Fraction(part, 100)), min_size=2, max_size=4),
    st.integers(0, 100_00),
)
def test_a_ratio_written_reads_back_as_the_same(parts: list[Fraction], thin_hundredths: int) -> None:
    ratio = Ratio(tuple(parts), thin_hundredths)
    assert parse_ratio(ratio.words) == ratio


def test_a_percentage_in_a_ratio_is_thinner_on_all_before_it() -> None:
    assert parse_ratio("4:1:10%").all_parts == exact(4, 1, "0.5")
    assert parse_ratio("4:1").all_parts == exact(4, 1)
    assert mix_by_parts(550, parse_ratio("4:1:10%").all_parts) == exact(400, 100, 50)


@given(VOLUMES, st.integers(0, 100_00))
def test_thinning_to_a_volume_is_thinning_what_paint_is_in_it(total: Fraction, hundredths: int) -> None:
    thinned = thin_to_volume(total, hundredths)
    assert thinned.total == total
    assert thin(thinned.paint, hundredths) == thinned


def test_thinning_lowers_the_solids_as_the_paint_is_drawn_out() -> None:
    assert thinned_solids(Fraction(35, 100), 10_00) == Fraction(35, 110)
    assert thinned_solids(Fraction(35, 100), 0) == Fraction(35, 100)


@pytest.mark.parametrize("hundredths", [-1, 100_01])
def test_thinning_below_nothing_or_by_more_than_the_paint_is_refused(hundredths: int) -> None:
    for thinning in (thin, thin_to_volume):
        with pytest.raises(RuleError, match="from 0 to 100"):
            thinning(100, hundredths)
    with pytest.raises(RuleError, match="from 0 to 100"):
        thinned_solids(Fraction(1, 2), hundredths)


def test_no_paint_cannot_be_thinned() -> None:
    with pytest.raises(RuleError, match="some paint"):
        thin(0, 10_00)
    with pytest.raises(RuleError, match="more than nothing"):
        thin_to_volume(0, 10_00)


def test_a_concentrate_is_diluted_by_its_strength() -> None:
    assert dilute(100, 100_00, 20_00) == 400
    assert dilute(100, 50_00, 50_00) == 0


@pytest.mark.parametrize(
    ("stock", "strong", "weak", "words"),
    [
        (0, 50_00, 10_00, "some of it"),
        (100, 10_00, 50_00, "cannot make it stronger"),
        (100, 50_00, 0, "cannot make it stronger"),
        (100, 100_01, 10_00, "from 0 to 100"),
        (100, 50_00, -1, "from 0 to 100"),
    ],
)
def test_what_cannot_be_diluted_is_refused(stock: int, strong: int, weak: int, words: str) -> None:
    with pytest.raises(RuleError, match=words):
        dilute(stock, strong, weak)
