"""What a photo may be."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.basics.errors import RuleError
from app.photos.rules import (
    MOST_BYTES,
    NAMELESS,
    Box,
    TooManyPixels,
    UnreadablePhoto,
    alt_words,
    fit_within,
    instant_taken,
    kept_name,
    refuse_heic,
    require_pixels,
    require_size,
)


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


@pytest.mark.parametrize("brand", [b"heic", b"heix", b"mif1"])
def test_heic_is_refused_with_the_way_out(brand: bytes) -> None:
    with pytest.raises(UnreadablePhoto, match=r"saves photos as HEIC.*Choose JPEG"):
        refuse_heic(b"\x00\x00\x00\x18ftyp" + brand + b"\x00" * 12)


@pytest.mark.parametrize("head", [b"", b"\xff\xd8\xff\xe0", b"\x00\x00\x00\x18ftypmp42"])
def test_other_bytes_are_not_taken_for_heic(head: bytes) -> None:
    refuse_heic(head)


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
