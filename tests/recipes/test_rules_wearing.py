"""What colour a piece shows after its coats."""

from app.recipes.rules import Colours, Part, colours_worn, covers

SAGE, CREAM, NAVY = "#7a8f6a", "#f4ead2", "#1f2a44"


def test_the_last_coat_on_a_part_shows() -> None:
    assert colours_worn([(Part.TOP, CREAM), (Part.TOP, NAVY)]) == Colours(None, {"top": NAVY})


def test_a_coat_on_all_of_it_covers_what_parts_had() -> None:
    assert colours_worn([(Part.TOP, NAVY), (Part.WHOLE, SAGE)]) == Colours(SAGE, {})


def test_parts_painted_after_it_differ() -> None:
    assert colours_worn([(Part.WHOLE, SAGE), (Part.DRAWERS, CREAM)]) == Colours(SAGE, {"drawers": CREAM})


def test_without_a_coat_on_all_of_it_the_body_stands_for_the_piece() -> None:
    assert colours_worn([(Part.TOP, NAVY), (Part.BODY, SAGE)]).most == SAGE


def test_a_half_has_no_outline_and_counts_only_where_nothing_else_does() -> None:
    assert colours_worn([(Part.LEFT_HALF, SAGE), (Part.RIGHT_HALF, NAVY)]) == Colours(SAGE, {})
    assert colours_worn([(Part.WHOLE, CREAM), (Part.LEFT_HALF, SAGE)]) == Colours(CREAM, {})


def test_no_coat_shows_no_colour() -> None:
    assert colours_worn([]) == Colours(None, {})


def test_what_goes_over_all_of_it_or_over_each_part_hides_what_was_there() -> None:
    both = frozenset({Part.TOP, Part.BODY})
    assert covers(frozenset({Part.WHOLE}), both)
    assert covers(both, both)
    assert not covers(frozenset({Part.TOP}), both)
    assert not covers(both, frozenset({Part.WHOLE}))
    assert not covers(frozenset(), frozenset())
