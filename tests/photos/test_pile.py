"""The pile: groups by time, laying photos down, putting them on pieces, taking them away and back."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from app.basics.errors import RuleError
from app.database.unit_of_work import Ledger
from app.photos import actions
from app.photos.queries import MovedPhoto, PhotoPlace, count_pile, moved_photos, photos_of, pile, where_kept
from app.photos.rules import GAPS, USUAL_GAP, Shows, StoredPhoto, group_by_time
from app.photos.store import keep
from app.pieces.actions import strike_find
from app.pieces.rules import CannotMove
from tests.builders.photos import NOW, a_photo, photo_bytes
from tests.builders.pieces import a_piece

Keep = Callable[..., StoredPhoto]


@dataclass(frozen=True)
class Taken:
    """A photo as far as grouping goes."""

    number: int
    instant: datetime


def taken_at(*words: str) -> list[Taken]:
    return [Taken(number, datetime.fromisoformat(said)) for number, said in enumerate(words)]


@st.composite
def days_of_photos(draw: st.DrawFn) -> list[Taken]:
    zones = st.integers(-12, 14).map(lambda hours: timezone(timedelta(hours=hours)))
    # Close together and far apart alike: seconds since the photo before.
    steps = draw(st.lists(st.integers(-2000, 100_000), max_size=60))
    start, seconds = datetime(2026, 3, 1, tzinfo=UTC), 0
    photos = []
    for number, step in enumerate(steps):
        seconds += step
        photos.append(Taken(number, (start + timedelta(seconds=seconds)).astimezone(draw(zones))))
    return photos


@given(days_of_photos(), st.sampled_from(sorted(GAPS)))
def test_every_photo_is_in_one_group_in_order_and_only_wide_gaps_part_groups(photos: list[Taken], minutes: int) -> None:
    gap = timedelta(minutes=minutes)
    groups = group_by_time(photos, gap)
    flat = [photo for group in groups for photo in group]
    assert flat == sorted(photos, key=lambda photo: photo.instant)
    assert all(groups)
    for group in groups:
        assert all(later.instant - earlier.instant <= gap for earlier, later in pairwise(group))
    assert all(later[0].instant - earlier[-1].instant > gap for earlier, later in pairwise(groups))


def test_a_gap_of_exactly_ten_minutes_parts_nothing_and_a_second_more_does() -> None:
    photos = taken_at("2026-11-24T09:00:00+00:00", "2026-11-24T09:10:00+00:00", "2026-11-24T09:20:01+00:00")
    assert [len(group) for group in group_by_time(photos, timedelta(minutes=USUAL_GAP))] == [2, 1]


def test_midnight_and_zones_part_nothing_by_themselves() -> None:
    across_midnight = taken_at("2026-11-24T23:58:00-07:00", "2026-11-25T00:03:00-07:00")
    assert len(group_by_time(across_midnight, timedelta(minutes=10))) == 1
    clock_set_back = taken_at("2026-11-01T01:55:00-06:00", "2026-11-01T01:02:00-07:00")
    assert [[one.number for one in group] for group in group_by_time(clock_set_back, timedelta(minutes=10))] == [[0, 1]]
    same_words_elsewhere = taken_at("2026-11-24T09:00:00-07:00", "2026-11-24T09:00:00+01:00")
    assert [[one.number for one in group] for group in group_by_time(same_words_elsewhere, timedelta(hours=1))] == [
        [1],
        [0],
    ]


@pytest.fixture
def stored(tmp_path: Path) -> Keep:
    """A way to keep a photo of some colour, taken at some time of 24 November."""

    def make(red: int = 200, time: str | None = None) -> StoredPhoto:
        taken = f"2026:11:24 {time}" if time else None
        body = photo_bytes(colour=(red, 30, 30), taken=taken, offset="-07:00" if time else None)
        return keep(tmp_path / "photos", BytesIO(body), f"{red}.jpg")

    return make


def lay(session: Session, *stored: StoredPhoto, now: datetime = NOW) -> list[int]:
    return [photo.id for photo in actions.lay_on_pile(session, stored, now=now)]


def on_pile(session: Session) -> list[int]:
    return [photo.id for photo in pile(session)]


def test_the_pile_goes_by_capture_time_and_else_by_the_time_received(session: Session, stored: Keep) -> None:
    late, early, untold = lay(session, stored(1, "18:00:00"), stored(2, "09:00:00"), stored(3))
    assert on_pile(session) == [early, late, untold]
    assert [photo.instant for photo in pile(session)][2] == NOW
    assert pile(session)[0].instant == datetime(2026, 11, 24, 16, tzinfo=UTC)


def test_the_same_content_is_told_and_not_doubled(session: Session, stored: Keep, tmp_path: Path) -> None:
    piece = a_piece(session)
    a_photo(session, tmp_path / "photos", piece.id)
    assert actions.add_to_pile(session, stored(200), now=NOW) == PhotoPlace(piece.tag, is_receipt=False)
    assert actions.add_to_pile(session, stored(9), now=NOW) is None
    there = actions.add_to_pile(session, stored(9), now=NOW)
    assert (there.words if there else "") == "on the pile"
    assert count_pile(session) == 1


def test_a_receipt_is_told_and_a_removed_photo_may_come_again(session: Session, stored: Keep, tmp_path: Path) -> None:
    a_photo(session, tmp_path / "photos", None, colour=(5, 30, 30), shows=Shows.RECEIPT)
    there = where_kept(session, stored(5).sha256)
    assert (there.words if there else "") == "a receipt"
    actions.take_off_pile(session, lay(session, stored(6)), now=NOW)
    assert actions.add_to_pile(session, stored(6), now=NOW) is None


@pytest.mark.usefixtures("shop")
def test_many_browsers_that_send_the_same_photo_lay_down_one(tmp_path: Path, ledger: Ledger) -> None:
    def send(_number: int) -> None:
        one = keep(tmp_path / "photos", BytesIO(photo_bytes()), "same.jpg")
        with ledger.writing() as session:
            actions.add_to_pile(session, one, now=NOW)

    with ThreadPoolExecutor(6) as browsers:
        list(browsers.map(send, range(12)))
    with ledger.reading() as session:
        assert count_pile(session) == 1


def test_photos_go_behind_those_of_the_piece_by_time(session: Session, stored: Keep, tmp_path: Path) -> None:
    piece = a_piece(session)
    front = a_photo(session, tmp_path / "photos", piece.id)
    late, early = lay(session, stored(1, "18:00:00"), stored(2, "09:00:00"))
    put = actions.put_on_piece(session, [late, early, 99], piece_id=piece.id, shows=Shows.DURING, now=NOW)
    assert [photo.id for photo in put] == [early, late]
    assert [photo.id for photo in photos_of(session, piece.id)] == [front.id, early, late]
    assert {photo.shows for photo in photos_of(session, piece.id)[1:]} == {Shows.DURING}
    assert on_pile(session) == []


def test_a_photo_the_piece_has_already_leaves_the_pile(session: Session, stored: Keep, tmp_path: Path) -> None:
    piece = a_piece(session)
    a_photo(session, tmp_path / "photos", piece.id)
    again = lay(session, stored(200))
    assert actions.put_on_piece(session, again, piece_id=piece.id, shows=Shows.FOUND, now=NOW) == []
    assert (on_pile(session), len(photos_of(session, piece.id))) == ([], 1)


def test_what_was_put_on_a_piece_can_be_laid_back(session: Session, stored: Keep) -> None:
    piece = a_piece(session, title="Oak chest")
    numbers = lay(session, stored(1), stored(2))
    actions.put_on_piece(session, numbers, piece_id=piece.id, shows=Shows.FOUND, now=NOW)
    assert moved_photos(session, numbers, to_piece=piece.id) == [
        MovedPhoto(number, piece.tag, "Oak chest") for number in numbers
    ]
    assert len(actions.back_to_pile(session, numbers, from_piece=piece.id)) == 2
    assert actions.back_to_pile(session, numbers, from_piece=piece.id) == []
    assert (on_pile(session), photos_of(session, piece.id)) == (numbers, [])
    assert moved_photos(session, numbers, to_piece=piece.id) == []


def test_what_was_taken_off_can_be_laid_back_once(session: Session, stored: Keep) -> None:
    numbers = lay(session, stored(1))
    actions.take_off_pile(session, numbers, now=NOW)
    assert on_pile(session) == []
    sent_again = lay(session, stored(1))
    assert actions.back_to_pile(session, numbers) == []
    assert on_pile(session) == sent_again
    actions.take_off_pile(session, sent_again, now=NOW)
    assert [photo.id for photo in actions.back_to_pile(session, numbers)] == numbers


def test_a_photo_removed_from_its_piece_is_not_laid_back(session: Session, stored: Keep) -> None:
    piece = a_piece(session)
    numbers = lay(session, stored(1))
    actions.put_on_piece(session, numbers, piece_id=piece.id, shows=Shows.FOUND, now=NOW)
    actions.remove_photo(session, numbers[0], now=NOW)
    assert actions.back_to_pile(session, numbers, from_piece=piece.id) == []
    assert moved_photos(session, numbers, to_piece=piece.id) == []


def test_a_photo_another_device_put_elsewhere_meanwhile_is_left_there(session: Session, stored: Keep) -> None:
    first, second = a_piece(session), a_piece(session)
    moved, stayed = lay(session, stored(1), stored(2))
    actions.put_on_piece(session, [moved, stayed], piece_id=first.id, shows=Shows.FOUND, now=NOW)
    actions.back_to_pile(session, [moved], from_piece=first.id)
    actions.put_on_piece(session, [moved], piece_id=second.id, shows=Shows.FOUND, now=NOW)
    assert [photo.id for photo in moved_photos(session, [moved, stayed], to_piece=first.id)] == [stayed]
    assert [photo.id for photo in actions.back_to_pile(session, [moved, stayed], from_piece=first.id)] == [stayed]
    assert [photo.id for photo in photos_of(session, second.id)] == [moved]


def test_a_piece_that_is_struck_out_takes_no_photo(session: Session, stored: Keep) -> None:
    piece = a_piece(session)
    numbers = lay(session, stored(1))
    strike_find(session, piece.id, reason="logged twice", version=None, now=NOW)
    with pytest.raises(CannotMove, match="struck out"):
        actions.put_on_piece(session, numbers, piece_id=piece.id, shows=Shows.FOUND, now=NOW)
    with pytest.raises(CannotMove, match="struck out"):
        actions.attach_photos(session, [stored(2)], piece_id=piece.id, now=NOW)
    assert on_pile(session) == numbers


def test_only_a_photo_of_the_pile_becomes_a_receipt(session: Session, stored: Keep) -> None:
    number = lay(session, stored(1))[0]
    receipt = actions.make_receipt(session, number, piece_id=None, now=NOW)
    assert (receipt.id, receipt.shows, on_pile(session)) == (number, Shows.RECEIPT, [])
    assert actions.back_to_pile(session, [number]) == []
    for wrong in (number, 99):
        with pytest.raises(RuleError, match="not on the pile any more"):
            actions.make_receipt(session, wrong, piece_id=None, now=NOW)


def test_a_receipt_of_the_same_content_stands_for_both(session: Session, stored: Keep, tmp_path: Path) -> None:
    there = a_photo(session, tmp_path / "photos", None, shows=Shows.RECEIPT)
    again = lay(session, stored(200))[0]
    assert actions.make_receipt(session, again, piece_id=None, now=NOW).id == there.id
    assert on_pile(session) == []
