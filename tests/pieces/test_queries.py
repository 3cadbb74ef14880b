"""Read pieces: searched, narrowed, sorted; and never with more queries for more rows."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import Any

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.actions import leave, move_piece, split_off
from app.pieces.queries import (
    count_hauls,
    count_pieces,
    counting_purchase,
    counting_purchases,
    haul_sheet,
    hauls,
    piece_by_tag,
    piece_row,
    piece_rows,
    pieces_chosen,
    source_row,
    sources,
    tag_meant,
)
from app.pieces.rules import Form, Leaving, PieceChoice, PieceSort, SplitPart, Stage, StepKind, Whereabouts
from tests.builders.pieces import NOW, a_haul, a_piece, a_source


class Count:
    """How many queries were asked."""

    queries = 0


@contextmanager
def counted(session: Session) -> Iterator[Count]:
    count = Count()

    def ask(*_args: Any) -> None:
        count.queries += 1

    session.flush()
    engine = session.get_bind()
    event.listen(engine, "before_cursor_execute", ask)
    try:
        yield count
    finally:
        event.remove(engine, "before_cursor_execute", ask)


def names(session: Session, **wanted: object) -> list[str]:
    return [row.name for row in pieces_chosen(session, PieceChoice(**wanted))]  # type: ignore[arg-type]


def test_a_piece_is_found_by_its_tag_in_small_letters_too(session: Session) -> None:
    piece = a_piece(session)
    assert piece_by_tag(session, f" {piece.tag.lower()} ").id == piece.id
    with pytest.raises(NotFound):
        piece_by_tag(session, "0O1")
    with pytest.raises(NotFound):
        piece_row(session, 999)


def test_a_piece_without_a_title_is_named_by_its_form(session: Session) -> None:
    row = piece_row(session, a_piece(session, title="", form=Form.TRUNK).id)
    assert (row.title, row.name, row.form_words) == ("", "Trunk", "Trunk")


def test_words_are_searched_without_case_or_accents_each_on_its_own(session: Session) -> None:
    a_piece(session, title="Commode ancienne", notes="Élégant, from the attic")
    a_piece(session, title="Pine trunk", form=Form.TRUNK, materials="pine, iron bands")
    assert names(session, words="ELEGANT attic") == ["Commode ancienne"]
    assert names(session, words="iron") == ["Pine trunk"]
    assert names(session, words="chest of") == ["Commode ancienne"]
    assert names(session, words="iron attic") == []


def test_a_tag_is_searched_like_a_word(session: Session) -> None:
    piece = a_piece(session, title="This one")
    a_piece(session, title="Other")
    assert names(session, words=piece.tag.lower()) == ["This one"]


@pytest.mark.parametrize("words", ["%", "_", "\\", "a%b", "'", '"; drop table piece'])
def test_signs_with_a_meaning_to_the_database_are_searched_as_they_are(session: Session, words: str) -> None:
    a_piece(session, title="Plain")
    a_piece(session, title=f"Odd {words}")
    assert names(session, words=words) == [f"Odd {words}"]


def test_pieces_are_narrowed_by_stage_form_source_and_whereabouts(session: Session) -> None:
    sale = a_source(session)
    a_piece(session, title="Found", source_id=sale.id)
    a_piece(session, title="Sanded", stage=Stage.PREPPED, form=Form.DESK)
    gone = a_piece(session, title="Gone")
    leave(session, gone.id, Leaving.SCRAPPED, on_date=date(2026, 11, 1), reason="", version=None, now=NOW)
    sold = a_piece(session, title="Sold")
    move_piece(session, sold, Stage.SOLD, StepKind.SALE, on_date=date(2026, 11, 1), reason="", now=NOW)
    assert names(session, stage=Stage.PREPPED) == ["Sanded"]
    assert names(session, form=Form.DESK) == ["Sanded"]
    assert names(session, source_id=sale.id) == ["Found"]
    assert names(session, whereabouts=Whereabouts.ON_HAND) == ["Sanded", "Found"]
    assert names(session, whereabouts=Whereabouts.LEFT) == ["Gone"]
    assert names(session, whereabouts=Whereabouts.SCRAPPED) == ["Gone"]
    assert names(session, whereabouts=Whereabouts.KEPT) == []
    assert count_pieces(session) == 4
    assert count_pieces(session, PieceChoice(whereabouts=Whereabouts.ON_HAND)) == 2


def test_pieces_are_sorted_each_way(session: Session) -> None:
    a_piece(session, title="beta", bought_on=date(2026, 9, 2), stage=Stage.PREPPED, stage_on=date(2026, 11, 9))
    a_piece(session, title="Álpha", bought_on=date(2026, 9, 3))
    a_piece(session, title="Gamma", bought_on=date(2026, 9, 1), stage=Stage.PREPPED, stage_on=date(2026, 10, 9))
    assert names(session, sort=PieceSort.NEWEST) == ["Álpha", "beta", "Gamma"]
    assert names(session, sort=PieceSort.OLDEST) == ["Gamma", "beta", "Álpha"]
    assert names(session, sort=PieceSort.NAME) == ["Álpha", "beta", "Gamma"]
    assert names(session, sort=PieceSort.STAGE_SINCE) == ["Álpha", "Gamma", "beta"]


def test_pages_of_a_list_do_not_overlap(session: Session) -> None:
    for number in range(5):
        a_piece(session, title=f"Piece {number}")
    choice = PieceChoice(sort=PieceSort.NAME)
    pages = [pieces_chosen(session, choice, limit=2, offset=offset) for offset in (0, 2, 4)]
    assert [row.name for page in pages for row in page] == [f"Piece {number}" for number in range(5)]


def test_rows_of_many_pieces_cost_one_query(session: Session) -> None:
    asked = []
    for many in (1, 12):
        for _ in range(many):
            a_piece(session, source_id=None, count=2)
        with counted(session) as count:
            rows = piece_rows(session)
            pieces_chosen(session, PieceChoice(words="oak"))
            counting_purchases(session)
            count_pieces(session)
        asked.append((len(rows), count.queries))
    assert asked == [(1, 4), (13, 4)]


def test_rows_are_read_for_the_given_pieces_alone(session: Session) -> None:
    first, second = a_piece(session), a_piece(session)
    assert [row.id for row in piece_rows(session, ids=[second.id])] == [second.id]
    assert [row.id for row in piece_rows(session, ids={second.id, first.id})] == [first.id, second.id]
    assert piece_rows(session, ids=[]) == []


def test_a_haul_costs_no_more_queries_for_more_pieces(session: Session) -> None:
    asked = []
    for amounts in ((1, 2), tuple(range(1, 12))):
        haul = a_haul(session, amounts=amounts)
        with counted(session) as count:
            haul_sheet(session, haul.id)
            hauls(session)
        asked.append(count.queries)
    assert asked[0] == asked[1]
    assert count_hauls(session) == 2


def test_hauls_are_listed_newest_first(session: Session) -> None:
    a_haul(session, bought_on=date(2026, 9, 1))
    a_haul(session, bought_on=date(2026, 9, 9))
    assert [row.bought_on for row in hauls(session)] == [date(2026, 9, 9), date(2026, 9, 1)]
    assert [row.bought_on for row in hauls(session, limit=1, offset=1)] == [date(2026, 9, 1)]
    with pytest.raises(NotFound):
        haul_sheet(session, 99)


def test_a_part_of_a_set_has_no_purchase_and_names_where_it_came_from(session: Session) -> None:
    piece = a_piece(session, count=2)
    parts = [SplitPart("", 1, 1), SplitPart("", 1, 1)]
    _, part = split_off(session, piece.id, parts, cents=1, minutes=0, on_date=date(2026, 11, 1), version=None, now=NOW)
    assert counting_purchase(session, part.id) is None
    assert piece_row(session, part.id).split_from_tag == piece.tag


def test_sources_are_listed_by_name_with_how_many_pieces_came(session: Session) -> None:
    barn, auction = a_source(session, "barn"), a_source(session, "Auction")
    a_piece(session, source_id=barn.id)
    assert [(row.name, row.pieces) for row in sources(session)] == [("Auction", 0), ("barn", 1)]
    assert source_row(session, auction.id).pieces == 0
    with pytest.raises(NotFound):
        source_row(session, 99)


def test_a_tag_is_meant_whatever_its_capitals_spaces_and_hyphens(session: Session) -> None:
    tag = a_piece(session).tag
    for words in (tag, tag.lower(), f" {tag[:2].lower()}-{tag[2:]} ", f"{tag[0]} {tag[1:]}"):
        assert tag_meant(session, words) == tag
    for words in ("", "oak chest", f"{tag} chest", tag[:2]):
        assert tag_meant(session, words) is None
