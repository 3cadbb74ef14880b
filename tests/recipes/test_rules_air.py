"""The air: never wetter than itself, wood follows its damp, and what is too damp or too cold to coat."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.recipes.rules import (
    BASE_WORDS,
    LEVEL_WORDS,
    MOST_STRETCH,
    Advice,
    Base,
    Level,
    air_findings,
    dew_point_c,
    drying_stretch,
    equilibrium_moisture,
    evaporation_factor,
    saturation_hpa,
)

TEMPERATURES = st.floats(-40, 60)
HUMIDITIES = st.floats(0.1, 100)


@given(TEMPERATURES, HUMIDITIES)
def test_the_dew_point_is_never_above_the_air(temp: float, rh: float) -> None:
    assert dew_point_c(temp, rh) <= temp


@pytest.mark.parametrize(
    ("temp", "rh", "dew"),
    [(20, 50, 9.26), (21, 50, 10.18), (23, 50, 12.01), (25, 60, 16.69), (25, 80, 21.31), (15, 80, 11.58)],
)
def test_the_dew_point_of_some_rooms(temp: float, rh: float, dew: float) -> None:
    # Computed by hand from the same formula.
    assert dew_point_c(temp, rh) == pytest.approx(dew, abs=0.005)


@given(st.floats(-20, 50), HUMIDITIES)
def test_air_at_its_dew_point_is_full(temp: float, rh: float) -> None:
    dew = dew_point_c(temp, rh)
    if dew >= -40:
        assert saturation_hpa(dew) == pytest.approx(saturation_hpa(temp) * rh / 100)


@given(TEMPERATURES, st.floats(0, 99), st.floats(0.1, 1))
def test_wood_gets_wetter_with_the_air(temp: float, rh: float, more: float) -> None:
    assert equilibrium_moisture(temp, rh + more) > equilibrium_moisture(temp, rh) >= 0


def test_in_air_without_damp_wood_is_dry_and_there_is_no_dew_point() -> None:
    assert equilibrium_moisture(21, 0) == 0
    with pytest.raises(RuleError, match="as dry as 0 %") as refused:
        dew_point_c(21, 0)
    assert refused.value.field == "humidity"


@pytest.mark.parametrize(
    ("temp", "rh", "words", "field"),
    [
        (21, 140, "0 to 100 %", "humidity"),
        (21, -1, "0 to 100 %", "humidity"),
        (21, float("nan"), "0 to 100 %", "humidity"),
        (61, 50, "-40 to 60", "temperature"),
        (-41, 50, "-40 to 60", "temperature"),
        (float("nan"), 50, "-40 to 60", "temperature"),
    ],
)
def test_what_no_meter_shows_is_refused(temp: float, rh: float, words: str, field: str) -> None:
    for asked in (dew_point_c, equilibrium_moisture, evaporation_factor):
        with pytest.raises(RuleError, match=words) as refused:
            asked(temp, rh)
        assert refused.value.field == field
    with pytest.raises(RuleError, match=words):
        air_findings(temp, rh, base=Base.OIL)


def found(temp: float, rh: float, base: Base, surface: float | None = None) -> list[tuple[Level, str]]:
    return [(one.level, one.words) for one in air_findings(temp, rh, base=base, surface_c=surface)]


def test_fit_air_has_nothing_against_it() -> None:
    assert [found(21, 50, base) for base in Base] == [[]] * len(Base)


@pytest.mark.parametrize(
    ("temp", "base", "level", "words"),
    [
        (9.9, Base.WATERBORNE, Level.STOP, "sound film"),
        (10, Base.WATERBORNE, Level.NOTE, "24 hours"),
        (3.9, Base.OIL, Level.STOP, "dry soundly"),
        (4, Base.OIL, Level.WARN, "slowly and poorly"),
        (9.9, Base.SHELLAC, Level.WARN, "slowly and poorly"),
        (33, Base.LACQUER, Level.WARN, "levelled"),
    ],
)
def test_each_base_has_its_cold_and_all_their_heat(temp: float, base: Base, level: Level, words: str) -> None:
    ((found_level, found_words),) = found(temp, 40, base)
    assert (found_level, words in found_words) == (level, True)


@pytest.mark.parametrize(
    ("rh", "base", "words"),
    [
        (60, Base.LACQUER, []),
        (61, Base.LACQUER, ["Lacquer may turn cloudy"]),
        (65, Base.SHELLAC, []),
        (66, Base.SHELLAC, ["Shellac may turn cloudy"]),
    ],
)
def test_damp_clouds_lacquer_and_shellac(rh: float, base: Base, words: list[str]) -> None:
    assert [one[1][: len(words[0])] for one in found(21, rh, base)] == words


def test_damp_air_is_warned_of_and_the_dew_point_stops() -> None:
    # At 25 degrees and 86 % the dew point is only some 2.5 degrees below the air.
    assert [level for level, _words in found(25, 86, Base.OIL)] == [Level.STOP, Level.WARN]
    assert found(25, 80, Base.OIL) == []


def test_a_cold_surface_counts_and_a_warm_one_helps() -> None:
    # 25 degrees and 60 % have their dew point at 16.7.
    assert [level for level, _words in found(25, 60, Base.OIL, surface=19.6)] == [Level.STOP]
    assert found(25, 60, Base.OIL, surface=19.8) == []
    with pytest.raises(RuleError) as refused:
        air_findings(25, 60, base=Base.OIL, surface_c=99)
    assert refused.value.field == "surface"


def test_a_cold_piece_in_a_warm_room_is_too_cold() -> None:
    assert found(21, 20, Base.WATERBORNE, surface=8)[0][0] is Level.STOP


def test_every_advice_says_where_its_rule_is_from() -> None:
    advice: list[Advice] = []
    for base in Base:
        advice += air_findings(8, 95, base=base)
        advice += air_findings(35, 70, base=base)
    assert all(one.source for one in advice)
    (dew,) = {one.source for one in advice if "dew point" in one.words}
    assert dew == "borrowed from metal painting practice"
    assert (set(BASE_WORDS), set(LEVEL_WORDS)) == (set(Base), set(Level))


@pytest.mark.parametrize(
    ("temp", "rh", "factor"),
    [
        (21, 50, 1.00),
        (15, 50, 1.46),
        (21, 70, 1.67),
        (21, 80, 2.50),
        (15, 80, 3.64),
        (25, 50, 0.79),
        (10, 70, 3.37),
    ],
)
def test_water_leaves_slower_in_cold_and_damp(temp: float, rh: float, factor: float) -> None:
    # Computed by hand from the same reckoning; no published rule exists.
    assert evaporation_factor(temp, rh) == pytest.approx(factor, abs=0.005)


def test_the_wait_is_never_shortened_and_ends_at_its_cap() -> None:
    assert drying_stretch(25, 50, Base.WATERBORNE) == 1
    assert drying_stretch(21, 100, Base.WATERBORNE) == MOST_STRETCH
    assert drying_stretch(-20, 50, Base.OIL) == MOST_STRETCH
    assert drying_stretch(40, 10, Base.OIL) == 1


def test_only_a_waterborne_coat_waits_for_damp() -> None:
    assert drying_stretch(11, 90, Base.OIL) == drying_stretch(11, 10, Base.SHELLAC) == pytest.approx(2)
    assert drying_stretch(21, 80, Base.WATERBORNE) == pytest.approx(2.5)
    assert drying_stretch(21, 80, Base.OTHER) == pytest.approx(2.5)
    assert drying_stretch(11, 20, Base.OTHER) == pytest.approx(2)


@given(TEMPERATURES, st.floats(0, 100), st.sampled_from(list(Base)))
def test_the_stretch_stays_between_once_and_the_cap(temp: float, rh: float, base: Base) -> None:
    assert 1 <= drying_stretch(temp, rh, base) <= MOST_STRETCH
