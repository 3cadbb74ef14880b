"""Tags: sheets that add up, codes large enough to be read, labels counted in their order."""

import pytest

from app.basics.errors import RuleError
from app.desk.rules.tags import (
    INCH,
    INNER_MARGIN,
    LAYOUTS,
    SMALLEST_MODULE,
    SMALLEST_NUMBER,
    SMALLEST_TEXT,
    CodeTooLong,
    Face,
    LayoutKey,
    TagFace,
    Wish,
    cells_of,
    code_words,
    place_code,
    require_sound_wish,
    sheets_of,
)

TAGS = [
    TagFace(number, "Chest", "Chest", "", number, care) for number, care in (("A3", ()), ("A4", ("x",)), ("A6", ()))
]


def places(wish: Wish) -> list[tuple[str, int, bool]]:
    return [(cell.tag.number, cell.place, cell.is_care) for cell in cells_of(TAGS, wish)]


@pytest.mark.parametrize("key", [LayoutKey.A4_21, LayoutKey.LETTER_30])
def test_sheets_of_labels_add_up_to_the_sheet(key: LayoutKey) -> None:
    layout = LAYOUTS[key]
    width, height = layout.label
    across = 2 * layout.left + layout.across * width + (layout.across - 1) * layout.gap_across
    down = 2 * layout.top + layout.down * height + (layout.down - 1) * layout.gap_down
    assert across == pytest.approx(layout.sheet[0], abs=0.11)  # the published figures leave a tenth of a millimetre
    assert down == pytest.approx(layout.sheet[1], abs=0.01)


@pytest.mark.parametrize("key", LAYOUTS)
def test_every_label_lies_on_its_sheet(key: LayoutKey) -> None:
    layout = LAYOUTS[key]
    left, top = layout.corner(layout.per_sheet - 1)
    assert left + layout.label[0] <= layout.sheet[0]
    assert top + layout.label[1] <= layout.sheet[1]
    assert layout.letters[0] >= SMALLEST_NUMBER
    assert min(layout.letters[1:]) >= SMALLEST_TEXT


def test_labels_lie_where_the_published_figures_say() -> None:
    a4, letter = LAYOUTS[LayoutKey.A4_21], LAYOUTS[LayoutKey.LETTER_30]
    assert a4.corner(0) == (7.2, 15.15)
    assert a4.corner(4) == pytest.approx((73.2, 53.25))
    assert letter.corner(0) == pytest.approx((0.1875 * INCH, 0.5 * INCH))
    assert letter.corner(29) == pytest.approx((5.6875 * INCH, 9.5 * INCH))


@pytest.mark.parametrize("key", LAYOUTS)
@pytest.mark.parametrize("modules", [21, 33, 37, 41])
def test_a_code_is_large_enough_and_keeps_its_white_edge_on_the_label(key: LayoutKey, modules: int) -> None:
    layout = LAYOUTS[key]
    place, (width, height) = place_code(layout, modules), layout.label
    assert place.module >= SMALLEST_MODULE
    assert place.quiet == pytest.approx(4 * place.module)
    assert place.side >= min(20.0, INCH * modules / (modules + 8)) - 1e-9
    assert (
        min(place.left, place.top, width - place.left - place.side, height - place.top - place.side)
        >= min(place.quiet, 2 * INNER_MARGIN) - 1e-9
    )
    assert min(place.left, place.top) >= INNER_MARGIN


def test_the_words_beside_a_code_keep_their_room() -> None:
    for layout in LAYOUTS.values():
        place = place_code(layout, 45) if layout.face is not Face.STICKER else place_code(layout, 41)
        if layout.face is not Face.ROLL:
            assert layout.label[0] - place.side - 2 * place.quiet >= layout.text_width - 1e-9


def test_a_code_too_fine_for_a_label_is_refused_there_and_not_on_a_larger_one() -> None:
    with pytest.raises(CodeTooLong, match="Choose a larger tag") as refused:
        place_code(LAYOUTS[LayoutKey.LETTER_30], 45)
    assert refused.value.field == "layout"
    assert place_code(LAYOUTS[LayoutKey.TIE_A4], 45).module >= SMALLEST_MODULE


def test_a_sheet_on_which_no_pair_begins_is_not_printed() -> None:
    wish = Wish(LayoutKey.TIE_A4, start=8, with_care=True)
    cells = cells_of(TAGS[1:], wish)
    assert [(cell.tag.number, cell.place) for cell in cells] == [("A4", 0), ("A4", 1), ("A6", 2)]
    assert sheets_of(cells, wish.on) == 1


def test_labels_are_counted_from_the_first_free_one() -> None:
    wish = Wish(LayoutKey.A4_21, start=20)
    assert places(wish) == [("A3", 19, False), ("A4", 20, False), ("A6", 21, False)]
    assert sheets_of(cells_of(TAGS, wish), wish.on) == 2
    assert sheets_of([], wish.on) == 0


def test_a_note_on_care_stands_to_the_right_of_its_tag() -> None:
    wish = Wish(LayoutKey.TIE_A4, with_care=True)
    assert places(wish) == [("A3", 0, False), ("A4", 2, False), ("A4", 3, True), ("A6", 4, False)]
    assert [place for _, place, _ in places(Wish(LayoutKey.ROLL_62, with_care=True))] == [0, 1, 2, 3]
    assert not any(is_care for *_, is_care in places(Wish(LayoutKey.A4_21, with_care=True)))


@pytest.mark.parametrize(
    ("wish", "field"),
    [
        (Wish(LayoutKey.A4_21, start=0), "start"),
        (Wish(LayoutKey.A4_21, start=22), "start"),
        (Wish(nudge_down=3.5), "down"),
        (Wish(nudge_right=0.3), "right"),
    ],
)
def test_what_no_sheet_or_printer_has_is_refused(wish: Wish, field: str) -> None:
    with pytest.raises(RuleError) as refused:
        require_sound_wish(wish)
    assert refused.value.field == field


def test_the_last_label_and_the_largest_nudge_are_taken() -> None:
    require_sound_wish(Wish(LayoutKey.A4_21, start=21, nudge_down=-3.0, nudge_right=3.0))


def test_a_code_says_the_address_in_capitals_or_the_number_alone() -> None:
    assert code_words("7K3", "https://192.168.1.20:8427") == "HTTPS://192.168.1.20:8427/T/7K3"
    assert code_words("7K3", None) == "7K3"
