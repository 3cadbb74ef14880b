"""What the phone of the demo's owner brought home, and the photos that nobody sorted yet."""

import hashlib
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.costs.models import CostLine
from app.database.unit_of_work import Ledger
from app.demo.actions.loading import tell
from app.demo.actions.picturing import draw_piece
from app.demo.rules import CannotLoad, CaptureRecord, Story, View
from app.desk.queries import pile_groups, with_pieces
from app.floor.models import Wording
from app.photos.models import Photo
from app.photos.rules import USUAL_GAP, Shows
from app.photos.store import keep
from app.pieces.models import Piece
from app.pieces.rules import Form, Stage, is_fit_tag
from app.pocket.models import Capture
from app.pocket.queries import captures
from app.pocket.rules import CaptureKind, CaptureState
from app.timelog.models import TimeEntry
from tests.demo.conftest import NO_PHOTOS, NOW, LoadedDemo

ZONE = "America/Denver"


def test_finds_costs_and_time_came_from_the_phone_and_one_needs_the_owner(
    demo: LoadedDemo, demo_later: LoadedDemo
) -> None:
    for loaded in (demo, demo_later):
        with loaded.ledger.reading() as session:
            held, *home = captures(session)
        assert held.state is CaptureState.HELD
        assert held.trouble == f"No piece here has the tag {held.said['tag']}."
        assert not is_fit_tag(str(held.said["tag"]))
        assert {row.state for row in home} == {CaptureState.HOME}
        kinds = [row.kind for row in home]
        assert sorted(kinds) == sorted([CaptureKind.FIND] * 2 + [CaptureKind.COST] * 2 + [CaptureKind.TIME])
        assert all(row.captured_at < row.received_at <= loaded.now and not row.differs for row in home)


def test_what_came_stands_on_the_day_the_phone_said_and_a_reference_led_to_its_find(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        finds = {row.reference: row for row in rows_of(session, CaptureKind.FIND)}
        for row in session.scalars(select(Capture).where(Capture.state == CaptureState.HOME)):
            assert local_day(row.captured_at, ZONE) == day_made(session, row)
        referring = [row for row in captures(session) if row.said.get("tag") in finds]
        (cost,) = [session.get_one(Capture, row.id) for row in referring]
        assert session.get_one(CostLine, cost.cost_line_id).piece_id == finds[str(referring[0].said["tag"])].piece_id


def test_a_find_from_the_phone_is_on_hand_at_little_cost_and_one_shows_its_photo(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        finds = [session.get_one(Piece, row.piece_id) for row in rows_of(session, CaptureKind.FIND)]
        assert {piece.stage for piece in finds} == {Stage.SOURCED}
        pictured = session.scalars(select(Photo).where(Photo.piece_id.in_([piece.id for piece in finds]))).all()
        assert [photo.shows for photo in pictured] == [Shows.FOUND]


def test_the_pile_has_two_groups_of_one_day_with_their_pieces_first(demo: LoadedDemo) -> None:
    with demo.ledger.reading() as session:
        groups = with_pieces(session, pile_groups(session, timedelta(minutes=USUAL_GAP)), zone=ZONE)
    assert [len(group.photos) for group in groups] == [3, 3]
    assert {local_day(photo.instant, ZONE) for group in groups for photo in group.photos} == {
        demo.today - timedelta(days=1)
    }
    likely = " ".join(option.words for option in groups[0].likely)
    assert "Bank of nine post-office boxes" in likely
    assert "Kerb nightstand" in likely


def test_a_listed_piece_has_words_of_the_owner(demo: LoadedDemo, story: Story) -> None:
    with demo.ledger.reading() as session:
        found = session.execute(select(Piece.stage, Wording.listing).join_from(Wording, Piece)).all()
    assert [tuple(row) for row in found] == [(Stage.LISTED, wording.words) for wording in story.wordings]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda row: replace(row, tag="M5K"), "No piece here has the tag M5K."),
        (lambda row: replace(row, amount="12,50"), "Write the amount with a point"),
        (lambda row: replace(row, is_held=True), "Nothing stands against it, so it would not be held."),
        (lambda row: replace(row, piece="lost-chair"), "There is no piece 'lost-chair' up to that day."),
    ],
)
def test_a_capture_is_held_only_where_the_files_say_so(
    ledger: Ledger,
    small_story: Story,
    story: Story,
    change: Callable[[CaptureRecord], CaptureRecord],
    message: str,
) -> None:
    sound = next(row for row in story.captures if row.kind is CaptureKind.COST)
    row = change(replace(sound, piece="", cost_kind="tools"))
    with ledger.writing() as session, pytest.raises(CannotLoad) as refusal:
        tell(session, replace(small_story, captures=(row,)), NO_PHOTOS, now=NOW, zone=ZONE)
    assert refusal.value.message.startswith(f"captures.csv, line {row.line}: {message}")


def test_a_drawn_photo_tells_when_it_was_taken_like_one_from_a_camera(tmp_path: Path) -> None:
    taken_at = datetime.fromisoformat("2026-11-24T07:52:00-07:00")
    stored = keep(tmp_path, BytesIO(draw_piece(Form.CHEST, "#705030", Shows.FOUND, taken_at=taken_at)), "drawn")
    assert stored.taken_at == taken_at == datetime(2026, 11, 24, 14, 52, tzinfo=UTC)
    assert keep(tmp_path, BytesIO(draw_piece(Form.CHEST, "#705030", Shows.FOUND)), "drawn").taken_at is None


def test_each_view_of_a_piece_is_another_picture_of_one_size() -> None:
    views = [draw_piece(Form.NIGHTSTAND, "#705030", Shows.FOUND, view=view) for view in View]
    assert len({hashlib.sha256(body).digest() for body in views}) == len(View)
    assert len({Image.open(BytesIO(body)).size for body in views}) == 1


def rows_of(session: Session, kind: CaptureKind) -> list[Capture]:
    return list(session.scalars(select(Capture).where(Capture.kind == kind)))


def day_made(session: Session, row: Capture) -> object:
    if row.piece_id is not None:
        return session.get_one(Piece, row.piece_id).sourced_on
    if row.cost_line_id is not None:
        return session.get_one(CostLine, row.cost_line_id).on_date
    return session.get_one(TimeEntry, row.time_entry_id).on_date
