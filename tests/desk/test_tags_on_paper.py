"""Printed tags read back: every code by a reader of another make, smeared and clean, and every label in its place."""

import re
from collections.abc import Iterator
from itertools import combinations

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from app.desk.formats.tags import care_text, code_of, plan_of, require_readable, write_frame, write_tags
from app.desk.rules.tags import (
    INNER_MARGIN,
    LAYOUTS,
    SMALLEST_NUMBER,
    SMALLEST_TEXT,
    CodeTooLong,
    LayoutKey,
    TagFace,
    Wish,
    place_code,
)
from app.floor.rules import CARE_LIMIT
from app.recipes.rules import Top, care_lines
from tests.desk.printed import labels_of, read_codes, smeared, some_tags

SHORT = "https://10.0.0.2:8427"
USUAL = "https://192.168.1.20:8427"
LONG = "https://a-rather-long-name-for-the-computer-in-the-garage.local:8427"
MM = 72 / 25.4
NEAR = 0.2
GENTLE = "Treat it gently until 24 December 2026: its finish is still hardening."
A_TRIAL, MANY_TRIALS = 2, 20


@pytest.mark.parametrize("url", [SHORT, USUAL, LONG, None])
@pytest.mark.parametrize("key", LAYOUTS)
def test_every_code_is_read_clean_and_with_a_smear_over_a_tenth(
    key: LayoutKey, url: str | None, *, is_long: bool
) -> None:
    wish = Wish(key)
    tags = some_tags(max(wish.on.per_sheet, 2), url)
    for tag, label in labels_of(write_tags(tags, wish), tags, wish):
        assert read_codes(label) == [tag.code]
        for trial in range(MANY_TRIALS if is_long else A_TRIAL):
            spoiled = smeared(label, tag, wish.on, f"{key}{tag.code}{trial}")
            assert read_codes(spoiled) == [tag.code], (tag.number, trial)


@pytest.mark.parametrize("key", [LayoutKey.TIE_LETTER, LayoutKey.A4_21, LayoutKey.LETTER_30, LayoutKey.ROLL_62])
def test_three_hundred_tags_are_read(key: LayoutKey) -> None:
    wish, tags = Wish(key), some_tags(300, USUAL)
    read = [read_codes(label) == [tag.code] for tag, label in labels_of(write_tags(tags, wish), tags, wish)]
    assert (len(read), all(read)) == (300, True)


def test_a_blotch_over_a_tenth_is_no_less() -> None:
    wish, tags = Wish(LayoutKey.ROLL_102), some_tags(1)
    ((tag, label),) = labels_of(write_tags(tags, wish), tags, wish)
    place = place_code(wish.on, len(code_of(tag.code)))
    spoiled = smeared(label, tag, wish.on, "any")
    dark = [sum(picture.histogram()[:128]) for picture in (label, spoiled)]
    assert abs(dark[0] - dark[1]) > 0.02 * (place.side * 150 / 25.4) ** 2


@pytest.mark.parametrize("key", LAYOUTS)
def test_codes_lie_where_their_label_says_to_a_fifth_of_a_millimetre(key: LayoutKey) -> None:
    wish = Wish(key, nudge_down=0.5, nudge_right=-1.0)
    tags, layout = some_tags(wish.on.per_sheet), LAYOUTS[key]
    found = sorted(
        _boxes(write_tags(tags, wish), layout.sheet[1], filled=True), key=lambda box: (round(box[1]), box[0])
    )
    place = place_code(layout, 33)
    for (left, top, right, bottom), number in zip(found, range(layout.per_sheet), strict=True):
        corner_left, corner_top = layout.corner(number)
        assert left == pytest.approx(corner_left + place.left - 1.0, abs=NEAR)
        assert top == pytest.approx(corner_top + place.top + 0.5, abs=NEAR)
        assert (right - left, bottom - top) == pytest.approx((place.side, place.side), abs=NEAR)


def test_the_edges_lie_on_the_published_labels() -> None:
    boxes = sorted(_boxes(write_frame(Wish(LayoutKey.A4_21)), 297.0, filled=False), key=lambda box: (box[1], box[0]))
    assert len(boxes) == 21
    line = 0.3 / MM
    for number, box in enumerate(boxes):
        row, column = divmod(number, 3)
        left, top = 7.2 + 66.0 * column, 15.15 + 38.1 * row
        assert box == pytest.approx((left, top, left + 63.5, top + 38.1), abs=NEAR + line)


@pytest.mark.parametrize("key", LAYOUTS)
def test_words_are_large_enough_and_stay_inside_the_margin(key: LayoutKey) -> None:
    layout, long_name = LAYOUTS[key], "Unabridgedly " * 9
    care = tuple(f"Line {number} of what to do with it, in plain words." for number in range(8))
    tag = TagFace("W4RX", long_name, "Something else, set of 12", "W 131 1/2 x D 118 1/4 x H 130 3/4 in", "W4RX", care)
    page = pypdfium2.PdfDocument(write_tags([tag], Wish(key, with_care=True)))[0]
    texts = [each for each in page.get_objects() if each.type == pdfium.FPDF_PAGEOBJ_TEXT]
    sizes = [_size_of(text) for text in texts]
    assert max(sizes) >= SMALLEST_NUMBER
    assert min(sizes) >= SMALLEST_TEXT
    (left, top), (width, height) = layout.corner(0), layout.label
    right = left + width * (2 if layout.carries_care and layout.across > 1 else 1)
    for box in (_box(text, layout.sheet[1]) for text in texts):
        assert box[0] >= left + INNER_MARGIN - NEAR
        assert box[2] <= right - INNER_MARGIN + NEAR
        assert box[1] >= top + INNER_MARGIN - NEAR
        assert box[3] <= top + height - INNER_MARGIN + NEAR


@pytest.mark.parametrize("key", [key for key, layout in LAYOUTS.items() if layout.carries_care])
def test_the_longest_note_on_care_fits_whole(key: LayoutKey) -> None:
    words = ("Wipe it down with a soft cloth. " * 40)[:CARE_LIMIT]
    body = write_tags([TagFace("7K3", "Chest", "", "", "7K3", (words.strip(),))], Wish(key, with_care=True))
    text = " ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(body))
    assert "…" not in text
    assert text.count("soft") == words.count("soft")


@pytest.mark.parametrize("key", [key for key, layout in LAYOUTS.items() if layout.carries_care])
def test_what_two_sorts_of_coat_ask_for_can_be_kept_and_fits_and_no_caution_is_ever_cut(key: LayoutKey) -> None:
    for tops in combinations(Top, 2):
        lines = care_lines(tops)
        assert len("\n".join(line.words for line in lines)) <= CARE_LIMIT
        assert care_text([line.words for line in lines], LAYOUTS[key]).is_whole, tops
    everything = care_lines(list(Top))
    text = " ".join(care_text([GENTLE, *(line.words for line in everything)], LAYOUTS[key]).lines)
    assert all(line.words in text for line in everything if line.goes_first)


def test_what_the_paper_cannot_show_is_planned_for() -> None:
    plain, long, far = (
        TagFace("7K3", "Chest", "", "", "7K3", ("Wax it.",)),
        TagFace("7K4", "Chest", "", "", "7K4", ("Wax it. " * 400,)),
        TagFace("7K6", "\u6905\u5b50 \U0001fa91", "Chair", "", "7K6"),
    )
    plan = plan_of([plain, long, far], Wish(with_care=True))
    assert (plan.tags, plan.sheets, plan.cut, plan.unlettered) == (3, 1, ("7K4",), ("7K6",))
    assert plan_of([plain, long], Wish()).cut == ()


def test_a_note_too_long_is_cut_and_says_so() -> None:
    body = write_tags([TagFace("7K3", "Chest", "", "", "7K3", ("Wax it. " * 400,))], Wish(with_care=True))
    assert "…" in pypdfium2.PdfDocument(body)[0].get_textpage().get_text_range()


def test_a_note_too_long_keeps_its_last_words() -> None:
    care = ("Wax it. " * 400, "Where the label says otherwise, the label is right.")
    body = write_tags([TagFace("7K3", "Chest", "", "", "7K3", care)], Wish(with_care=True))
    text = " ".join(pypdfium2.PdfDocument(body)[0].get_textpage().get_text_range().split())
    assert re.search(r"….* the label is right\.", text)


def test_an_address_too_long_for_a_label_is_refused_there_alone() -> None:
    codes = [f"HTTPS://{'A' * 200}:8427/T/7K3"]
    with pytest.raises(CodeTooLong):
        require_readable(codes, LAYOUTS[LayoutKey.LETTER_30])
    with pytest.raises(CodeTooLong):
        write_tags([TagFace("7K3", "", "", "", codes[0])], Wish(LayoutKey.LETTER_30))
    require_readable(codes, LAYOUTS[LayoutKey.ROLL_102])


def test_the_same_tags_make_the_same_bytes() -> None:
    assert write_tags(some_tags(3), Wish()) == write_tags(some_tags(3), Wish())


def _boxes(body: bytes, sheet_height: float, *, filled: bool) -> Iterator[tuple[float, float, float, float]]:
    """The boxes of all filled or all drawn shapes in millimetres, from the upper left."""
    for page in pypdfium2.PdfDocument(body):
        for each in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
            mode, stroke = pdfium.c_int(), pdfium.c_int()
            pdfium.FPDFPath_GetDrawMode(each.raw, mode, stroke)
            if bool(mode.value) is filled and bool(stroke.value) is not filled:
                yield _box(each, sheet_height)


def _box(each: pypdfium2.PdfObject, sheet_height: float) -> tuple[float, float, float, float]:
    left, bottom, right, top = (edge / MM for edge in each.get_bounds())
    return left, sheet_height - top, right, sheet_height - bottom


def _size_of(text: pypdfium2.PdfObject) -> float:
    size = pdfium.c_float()
    pdfium.FPDFTextObj_GetFontSize(text.raw, size)
    return float(size.value)
