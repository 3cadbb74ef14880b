"""What a photo may be."""

from dataclasses import dataclass
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.photos.rules import (
    MOST_BYTES,
    NAMELESS,
    PAIR_GAP,
    PAIR_WIDTH,
    SHOWS_WORDS,
    Box,
    Shows,
    Size,
    TooManyPixels,
    UnreadablePhoto,
    alt_words,
    before_and_after,
    fit_within,
    instant_taken,
    kept_name,
    plan_pair,
    plan_sizes,
    refuse_avif,
    require_pixels,
    require_shows,
    require_size,
    shows_at,
)
from app.pieces.rules import Stage

EDGES = st.integers(1, 50_000)


def test_the_long_edge_is_brought_to_the_size_either_way_up() -> None:
    assert fit_within(4032, 3024, 1600) == Box(1600, 1200)
    assert fit_within(3024, 4032, 320) == Box(240, 320)


def test_a_small_picture_is_not_blown_up() -> None:
    assert fit_within(200, 100, 320) == Box(200, 100)


@given(st.integers(1, 50_000), st.integers(1, 50_000), st.sampled_from([320, 1600]))
def test_a_fitted_picture_has_extent_and_no_edge_over_the_size(width: int, height: int, edge: int) -> None:
    box = fit_within(width, height, edge)
    assert 1 <= box.width <= edge
    assert 1 <= box.height <= edge
    assert fit_within(height, width, edge) == Box(box.height, box.width)


def test_three_sizes_are_planned_upright() -> None:
    lying = {Size.LARGE: Box(1600, 1200), Size.MIDDLE: Box(800, 600), Size.SMALL: Box(320, 240)}
    assert plan_sizes(4032, 3024) == plan_sizes(4032, 3024, 3) == lying
    standing = {size: Box(box.height, box.width) for size, box in lying.items()}
    for orientation in (5, 6, 7, 8):
        assert plan_sizes(4032, 3024, orientation) == standing


@given(EDGES, EDGES, st.integers(0, 9))
def test_no_size_is_enlarged_or_vanishes(width: int, height: int, orientation: int) -> None:
    planned = list(plan_sizes(width, height, orientation).values())
    upright = Box(height, width) if orientation in {5, 6, 7, 8} else Box(width, height)
    for larger, box in zip([upright, *planned], planned, strict=False):
        assert 1 <= box.width <= larger.width
        assert 1 <= box.height <= larger.height


def test_a_pair_is_of_one_height() -> None:
    assert plan_pair(Box(800, 600), Box(300, 400)) == (Box(533, 400), Box(300, 400))
    first, second = plan_pair(Box(1600, 1200), Box(1600, 1200))
    assert (first, second) == (Box(1194, 895), Box(1194, 895))
    assert first.width + PAIR_GAP + second.width == PAIR_WIDTH


@given(*[st.integers(1, 1600)] * 4)
def test_a_pair_fits_and_neither_half_is_enlarged(width: int, height: int, width_2: int, height_2: int) -> None:
    before, after = Box(width, height), Box(width_2, height_2)
    first, second = plan_pair(before, after)
    assert first.height == second.height >= 1
    assert first.height <= min(before.height, after.height)
    assert 1 <= first.width <= before.width
    assert 1 <= second.width <= after.width
    assert first.width + PAIR_GAP + second.width <= PAIR_WIDTH


def test_twenty_five_megabytes_are_taken_and_one_byte_more_is_not() -> None:
    require_size(MOST_BYTES)
    with pytest.raises(RuleError, match="over 25 MB"):
        require_size(MOST_BYTES + 1)


def test_an_empty_file_is_no_photo() -> None:
    with pytest.raises(UnreadablePhoto, match="empty"):
        require_size(0)


def test_fifty_megapixels_are_taken_and_more_are_not() -> None:
    require_pixels(10_000, 5_000)
    with pytest.raises(TooManyPixels, match="50 megapixels"):
        require_pixels(10_001, 5_000)


@pytest.mark.parametrize("brands", [b"avif", b"mif1\x00\x00\x00\x00avif", b"avis\x00\x00\x00\x00msf1"])
def test_avif_is_refused_wherever_it_says_so(brands: bytes) -> None:
    head = (8 + len(brands)).to_bytes(4) + b"ftyp" + brands
    with pytest.raises(UnreadablePhoto, match="Save it as JPEG"):
        refuse_avif(head)


@pytest.mark.parametrize(
    "head", [b"", b"\xff\xd8\xff\xe0", b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heicavif", b"\xff\xff\xff\xffftyp"]
)
def test_other_bytes_are_not_taken_for_avif(head: bytes) -> None:
    refuse_avif(head)


def test_a_capture_time_with_its_offset_is_exact() -> None:
    assert instant_taken("2026:11:25 14:05:00", "-07:00") == datetime(2026, 11, 25, 21, 5, tzinfo=UTC)


def test_a_capture_time_without_an_offset_is_taken_as_it_is_written() -> None:
    assert instant_taken("2026:11:25 14:05:00") == datetime(2026, 11, 25, 14, 5, tzinfo=UTC)
    assert instant_taken("2026:11:25 14:05:00\x00", "    ") == datetime(2026, 11, 25, 14, 5, tzinfo=UTC)


@pytest.mark.parametrize("words", [None, "", 7, "0000:00:00 00:00:00", "2026:02:30 10:00:00", "yesterday"])
def test_a_capture_time_that_is_none_is_left_out(words: object) -> None:
    assert instant_taken(words) is None


def test_a_capture_time_at_the_end_of_the_calendar_is_left_out() -> None:
    assert instant_taken("9999:12:31 23:59:59", "-14:00") is None


def test_a_file_name_loses_its_folders_and_what_hides_in_it() -> None:
    assert kept_name("../../etc/chest.jpg") == "chest.jpg"
    assert kept_name("C:\\photos\\che\u202est\x00.jpg") == "chest.jpg"
    assert kept_name("") == NAMELESS
    assert len(kept_name("x" * 5000)) == 200


def test_a_photo_is_described_by_its_piece_and_its_place() -> None:
    assert alt_words("Oak chest", 2, 3) == "Oak chest, photo 2 of 3"
    assert alt_words("Oak chest", 1, 1) == "Oak chest, the only photo"
    assert alt_words("Oak chest", 1, 2, shows=Shows.FOUND) == "Oak chest, as found, photo 1 of 2"
    told = alt_words("Oak chest", 2, 2, shows=Shows.FINISHED, caption="Left drawer")
    assert told == "Oak chest, finished, photo 2 of 2: Left drawer"


@pytest.mark.parametrize(
    ("stage", "shows"),
    [
        (Stage.SOURCED, Shows.FOUND),
        (Stage.PREPPED, Shows.DURING),
        (Stage.FINISHED, Shows.FINISHED),
        (Stage.LISTED, Shows.FINISHED),
        (Stage.SOLD, Shows.FINISHED),
    ],
)
def test_what_new_photos_show_follows_the_stage(stage: Stage, shows: Shows) -> None:
    assert shows_at(stage) is shows


def test_a_photo_of_a_piece_shows_all_but_a_receipt() -> None:
    for shows in SHOWS_WORDS:
        require_shows(shows)
    assert set(Shows) - set(SHOWS_WORDS) == {Shows.RECEIPT}
    with pytest.raises(RuleError, match="no receipt"):
        require_shows(Shows.RECEIPT)


@dataclass(frozen=True)
class Shown:
    """A photo of these tests."""

    id: int
    shows: Shows


def test_before_and_after_are_the_first_of_each_in_the_owners_order() -> None:
    photos = [
        Shown(1, Shows.LISTING),
        Shown(2, Shows.DURING),
        Shown(3, Shows.FOUND),
        Shown(4, Shows.FINISHED),
        Shown(5, Shows.FOUND),
    ]
    assert before_and_after(photos) == (photos[2], photos[0])
    assert before_and_after(photos[1:]) == (photos[2], photos[3])
    assert before_and_after(photos[:2]) is None
    assert before_and_after(photos[4:]) is None
