"""Where the bars of a plan stand."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from app.bench.rules.strip import BAR, GAP, HEAD, PER_MINUTE, ROW, Axis, StripPiece, StripSpell, StripWork, strip

EVENINGS = (StripSpell(600, 750, 19 * 60, "Wed 25 Nov"), StripSpell(2040, 2190, 19 * 60, "Thu 26 Nov"))


def work(start: int, end: int, dry_at: int, word: str = "Sand") -> StripWork:
    return StripWork(start, end, dry_at, word, f"{word} from {start}")


def test_free_time_goes_at_a_steady_pace_and_a_night_is_narrow() -> None:
    axis = Axis(EVENINGS)
    assert axis.at(600) == GAP
    assert axis.at(750) - axis.at(600) == 150 * PER_MINUTE
    assert axis.at(2040) - axis.at(750) == GAP
    assert axis.at(-90) == axis.at(0) == 0
    assert axis.at(9_999) == axis.width == axis.at(2190) + GAP


def test_a_short_break_is_no_wider_than_it_is_long() -> None:
    axis = Axis([StripSpell(0, 60, 0, ""), StripSpell(70, 130, 70, "")])
    assert axis.at(70) - axis.at(60) == 10 * PER_MINUTE


def test_bars_stand_in_the_row_of_their_piece_and_what_dries_follows_them() -> None:
    chart = strip(
        EVENINGS, [StripPiece("7K4", [work(600, 660, 660)]), StripPiece("8B2", [work(660, 700, 2100, "Paint")])]
    )
    sand, paint = chart.works
    assert (sand.y, paint.y) == (HEAD + (ROW - BAR) / 2, HEAD + ROW + (ROW - BAR) / 2)
    assert sand.x + sand.width == paint.x
    [dries] = chart.dries
    assert dries.x == paint.x + paint.width
    assert round(dries.x + dries.width, 2) == GAP + 150 * PER_MINUTE + GAP + 60 * PER_MINUTE
    assert (chart.names, chart.height) == (("7K4", "8B2"), HEAD + 2 * ROW)


def test_a_word_stands_in_a_bar_only_where_it_has_room_and_is_told_always() -> None:
    chart = strip(EVENINGS, [StripPiece("7K4", [work(600, 610, 610), work(610, 670, 670)])])
    assert [(box.word, box.told) for box in chart.works] == [("", "Sand from 600"), ("Sand", "Sand from 610")]


def test_hours_are_marked_within_the_free_time() -> None:
    [first, _] = strip(EVENINGS, []).bands
    assert [(words, x) for x, words in first.hours] == [
        ("19:00", GAP),
        ("20:00", GAP + 60 * PER_MINUTE),
        ("21:00", GAP + 120 * PER_MINUTE),
    ]
    late = strip([StripSpell(0, 90, 23 * 60 + 30, "Wed")], []).bands[0]
    assert [(words, x) for x, words in late.hours] == [("0:00", 30 * PER_MINUTE), ("1:00", 90 * PER_MINUTE)]


def test_what_begins_after_the_last_spell_is_left_away_and_what_dries_beyond_it_ends_at_the_edge() -> None:
    chart = strip(EVENINGS[:1], [StripPiece("7K4", [work(700, 750, 99_999), work(2040, 2100, 2100)])])
    assert len(chart.works) == 1
    assert chart.dries[0].x + chart.dries[0].width == chart.width


@given(st.lists(st.tuples(st.integers(0, 600), st.integers(1, 600)), min_size=1, max_size=6), st.data())
def test_later_never_stands_further_left(gaps: list[tuple[int, int]], data: st.DataObject) -> None:
    spells, at = [], 0
    for gap, long in gaps:
        spells.append(StripSpell(at + gap, at + gap + long, 0, ""))
        at += gap + long
    axis = Axis(spells)
    minutes = sorted(data.draw(st.lists(st.integers(-100, at + 500), min_size=2, max_size=8)))
    places = [axis.at(minute) for minute in minutes]
    assert all(one <= other for one, other in pairwise(places))
    assert 0 <= places[0] <= places[-1] <= axis.width
