"""Attaching photos, ordering them and taking them off the pages."""

from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.errors import NotFound, RuleError
from app.photos.actions import describe_photo, put_at, put_back_photo, put_in_front, remove_photo
from app.photos.models import Photo
from app.photos.queries import front_photos, photo_by_id, photos_of, placed_photo, removed_photo
from app.photos.rules import Box, Shows, Size
from tests.builders.photos import BLUE, RED, a_photo, photo_bytes
from tests.builders.pieces import a_piece

GREEN = (20, 160, 60)


@pytest.fixture
def photo_dir(tmp_path: Path) -> Path:
    return tmp_path / "photos"


def ids(session: Session, piece_id: int) -> list[int]:
    return [photo.id for photo in photos_of(session, piece_id)]


def test_photos_keep_the_order_they_came_in(session: Session, photo_dir: Path) -> None:
    piece = a_piece(session)
    first, second = a_photo(session, photo_dir, piece.id), a_photo(session, photo_dir, piece.id, colour=BLUE)
    assert ids(session, piece.id) == [first.id, second.id]


def test_the_same_photo_attached_twice_is_one(session: Session, photo_dir: Path) -> None:
    piece = a_piece(session)
    assert a_photo(session, photo_dir, piece.id).id == a_photo(session, photo_dir, piece.id).id


def test_the_same_photo_may_show_two_pieces(session: Session, photo_dir: Path) -> None:
    one, other = a_piece(session), a_piece(session)
    assert a_photo(session, photo_dir, one.id).id != a_photo(session, photo_dir, other.id).id


def test_a_receipt_is_not_among_the_photos_of_the_piece(session: Session, photo_dir: Path) -> None:
    piece = a_piece(session)
    a_photo(session, photo_dir, piece.id, shows=Shows.RECEIPT)
    assert ids(session, piece.id) == []
    assert front_photos(session, [piece.id]) == {}


def test_a_photo_put_in_front_leads_and_the_others_keep_their_order(session: Session, photo_dir: Path) -> None:
    piece = a_piece(session)
    photos = [a_photo(session, photo_dir, piece.id, colour=colour) for colour in (RED, BLUE, GREEN)]
    put_in_front(session, photos[2].id)
    put_in_front(session, photos[2].id)
    assert ids(session, piece.id) == [photos[2].id, photos[0].id, photos[1].id]


@pytest.mark.parametrize(
    ("place", "order"),
    [(0, "cabd"), (1, "cabd"), (2, "acbd"), (3, "abcd"), (4, "abdc"), (99, "abdc")],
)
def test_a_photo_is_put_at_a_place_and_stays_there(session: Session, photo_dir: Path, place: int, order: str) -> None:
    piece = a_piece(session)
    photos = {name: a_photo(session, photo_dir, piece.id, colour=(ord(name), 0, 0)).id for name in "abcd"}
    for _ in range(2):
        put_at(session, photos["c"], place)
        assert ids(session, piece.id) == [photos[name] for name in order]


def test_removed_photos_are_not_counted_when_one_is_put_at_a_place(
    session: Session, photo_dir: Path, now: datetime
) -> None:
    piece = a_piece(session)
    a, b, c, d = (a_photo(session, photo_dir, piece.id, colour=(shade, 0, 0)).id for shade in (1, 60, 120, 180))
    remove_photo(session, b, now=now)
    put_at(session, d, 2)
    assert ids(session, piece.id) == [a, d, c]
    put_back_photo(session, b)
    assert ids(session, piece.id) == [a, d, b, c]


def test_the_first_finished_photo_goes_behind_the_others(session: Session, photo_dir: Path) -> None:
    piece = a_piece(session)
    found = a_photo(session, photo_dir, piece.id)
    done = a_photo(session, photo_dir, piece.id, colour=BLUE, shows=Shows.FINISHED)
    assert front_photos(session, [piece.id])[piece.id].id == found.id
    put_in_front(session, done.id)
    assert front_photos(session, [piece.id])[piece.id].id == done.id


def test_a_photo_is_described_and_what_is_said_last_holds(session: Session, photo_dir: Path, now: datetime) -> None:
    photo = a_photo(session, photo_dir, a_piece(session).id)
    describe_photo(session, photo.id, shows=Shows.DURING, caption="Stripped")
    describe_photo(session, photo.id, shows=Shows.FINISHED, caption="Waxed")
    row = photo_by_id(session, photo.id)
    assert (row.shows, row.caption, row.shows_words) == (Shows.FINISHED, "Waxed", "Finished")
    with pytest.raises(RuleError, match="no receipt"):
        describe_photo(session, photo.id, shows=Shows.RECEIPT, caption="")
    remove_photo(session, photo.id, now=now)
    with pytest.raises(NotFound):
        describe_photo(session, photo.id, shows=Shows.FOUND, caption="")


def test_a_receipt_is_not_described(session: Session, photo_dir: Path) -> None:
    receipt = a_photo(session, photo_dir, a_piece(session).id, shows=Shows.RECEIPT)
    with pytest.raises(RuleError, match="receipt stays"):
        describe_photo(session, receipt.id, shows=Shows.FOUND, caption="")
    with pytest.raises(NotFound):
        placed_photo(session, receipt.id)


def test_a_photo_knows_its_place_and_its_neighbours(session: Session, photo_dir: Path) -> None:
    piece = a_piece(session)
    a, b, c = (a_photo(session, photo_dir, piece.id, colour=(shade, 0, 0)).id for shade in (1, 60, 120))
    placed = [placed_photo(session, one) for one in (a, b, c)]
    assert [(one.number, one.of, one.previous_id, one.next_id) for one in placed] == [
        (1, 3, None, b),
        (2, 3, a, c),
        (3, 3, b, None),
    ]


def test_a_removed_photo_is_gone_from_the_pages_and_its_file_stays(
    session: Session, photo_dir: Path, now: datetime
) -> None:
    piece = a_piece(session)
    front, other = a_photo(session, photo_dir, piece.id), a_photo(session, photo_dir, piece.id, colour=BLUE)
    files = sorted(photo_dir.rglob("*.*"))
    remove_photo(session, front.id, now=now)
    assert ids(session, piece.id) == [other.id]
    assert front_photos(session, [piece.id])[piece.id].id == other.id
    assert sorted(photo_dir.rglob("*.*")) == files
    with pytest.raises(NotFound):
        photo_by_id(session, front.id)
    with pytest.raises(NotFound):
        put_in_front(session, front.id)


def test_removing_twice_keeps_the_first_instant(session: Session, photo_dir: Path, now: datetime) -> None:
    photo = a_photo(session, photo_dir, a_piece(session).id)
    remove_photo(session, photo.id, now=now)
    assert remove_photo(session, photo.id, now=now.replace(year=2027)).removed_at == now


def test_a_removed_photo_comes_back_where_it_was(session: Session, photo_dir: Path, now: datetime) -> None:
    piece = a_piece(session)
    front, other = a_photo(session, photo_dir, piece.id), a_photo(session, photo_dir, piece.id, colour=BLUE)
    remove_photo(session, front.id, now=now)
    assert removed_photo(session, piece.id, front.id) == front.id
    put_back_photo(session, front.id)
    assert ids(session, piece.id) == [front.id, other.id]
    assert removed_photo(session, piece.id, front.id) is None


def test_a_photo_sent_again_meanwhile_does_not_come_back_twice(
    session: Session, photo_dir: Path, now: datetime
) -> None:
    piece = a_piece(session)
    first = a_photo(session, photo_dir, piece.id)
    remove_photo(session, first.id, now=now)
    second = a_photo(session, photo_dir, piece.id)
    assert second.id != first.id
    assert put_back_photo(session, first.id).id == second.id
    assert ids(session, piece.id) == [second.id]


def test_a_receipt_cannot_be_removed(session: Session, photo_dir: Path, now: datetime) -> None:
    receipt = a_photo(session, photo_dir, None, shows=Shows.RECEIPT)
    with pytest.raises(RuleError, match="receipt stays"):
        remove_photo(session, receipt.id, now=now)
    assert photo_by_id(session, receipt.id).shows is Shows.RECEIPT


def test_a_photo_that_never_was_is_not_found(session: Session, now: datetime) -> None:
    with pytest.raises(NotFound):
        remove_photo(session, 99, now=now)


def test_a_row_knows_the_extent_of_its_sizes(session: Session) -> None:
    piece = a_piece(session)
    session.add(
        Photo(
            piece_id=piece.id,
            sha256="0" * 64,
            shows=Shows.FOUND,
            position=0,
            width=3024,
            height=4032,
            bytes=1,
            kind="jpeg",
            given_name="x",
            made_at=piece.made_at,
        )
    )
    session.flush()
    row = photos_of(session, piece.id)[0]
    assert (row.large, row.small) == (Box(1200, 1600), Box(240, 320))
    assert row.sizes == [(Size.SMALL, Box(240, 320)), (Size.MIDDLE, Box(600, 800)), (Size.LARGE, Box(1200, 1600))]


def test_a_small_photo_is_offered_in_the_sizes_that_differ(session: Session, photo_dir: Path) -> None:
    piece = a_piece(session)
    a_photo(session, photo_dir, piece.id, body=photo_bytes(500, 300))
    assert [box for _size, box in photos_of(session, piece.id)[0].sizes] == [Box(320, 192), Box(500, 300)]


def test_the_front_photos_of_many_pieces_take_one_query(session: Session, photo_dir: Path) -> None:
    pieces = [a_piece(session) for _ in range(6)]
    fronts = {piece.id: a_photo(session, photo_dir, piece.id).id for piece in pieces[:5]}
    for piece in pieces[:5]:
        a_photo(session, photo_dir, piece.id, colour=BLUE)
    asked: list[str] = []
    event.listen(session.connection(), "before_cursor_execute", lambda *said: asked.append(said[2]))
    found = front_photos(session, [piece.id for piece in pieces])
    assert {piece_id: row.id for piece_id, row in found.items()} == fronts
    assert len(asked) == 1
