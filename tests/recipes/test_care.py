"""How to look after a finish: by its last coat on each part, and how long it is to be treated gently."""

from datetime import datetime, timedelta
from itertools import combinations

import pytest
from sqlalchemy.orm import Session

from app.pieces.queries import piece_by_tag
from app.pieces.rules import Stage
from app.recipes.queries import care_of, finishes_by_piece, finishes_of
from app.recipes.rules import (
    CARE,
    COATINGS,
    COMMON_PRACTICE,
    EVERY_FINISH,
    LABEL_FIRST,
    PRODUCTS,
    Aim,
    Part,
    Product,
    Task,
    Top,
    WorkDone,
    care_lines,
    gentle_until,
    tops_of,
)
from app.recipes.rules.care import top_of
from tests.builders.finishes import a_coat, a_finish, do_step, steps_of
from tests.builders.pieces import NOW, a_piece

DAY = timedelta(days=1)


def work(task: Task, part: Part = Part.WHOLE, days: float = 0, **said: object) -> WorkDone:
    return WorkDone(task=task, part=part, done_at=NOW + days * DAY, **said)  # type: ignore[arg-type]


def test_every_sort_of_coat_is_some_sort_of_top() -> None:
    for task in Task:
        assert (top_of(task, None) is not None) is (task in COATINGS)
    for product, facts in PRODUCTS.items():
        for task in facts.tasks:
            assert (top_of(task, product) is not None) is (task in COATINGS), product
    assert set(CARE) == set(Top)


@pytest.mark.parametrize(
    ("task", "product", "top"),
    [
        (Task.WAX, None, Top.WAX),
        (Task.CLEAR_COAT, Product.OIL_FINISH, Top.OIL),
        (Task.CLEAR_COAT, Product.OIL_VARNISH, Top.CLEAR),
        (Task.CLEAR_COAT, Product.WATERBORNE_CLEAR, Top.CLEAR),
        (Task.CLEAR_COAT, Product.LACQUER, Top.LACQUER),
        (Task.SEAL, Product.DEWAXED_SHELLAC, Top.SHELLAC),
        (Task.PAINT, Product.MINERAL_PAINT, Top.SOFT_PAINT),
        (Task.PAINT, Product.OIL_PAINT, Top.PAINT),
        (Task.STAIN, Product.OIL_STAIN, Top.STAIN),
    ],
)
def test_the_product_tells_what_lies_on_top(task: Task, product: Product | None, top: Top) -> None:
    assert tops_of([work(task, product=product)]) == {Part.WHOLE: top}


def test_the_last_coat_counts_whatever_order_it_was_written_down_in() -> None:
    assert tops_of([work(Task.WAX, days=2), work(Task.PAINT, days=1)]) == {Part.WHOLE: Top.WAX}


def test_each_part_has_its_own_top_until_all_of_it_is_coated() -> None:
    parts = [work(Task.PAINT, Part.BODY, 1), work(Task.CLEAR_COAT, Part.TOP, 2, product=Product.OIL_FINISH)]
    assert tops_of(parts) == {Part.BODY: Top.PAINT, Part.TOP: Top.OIL}
    assert tops_of([*parts, work(Task.WAX, days=3)]) == {Part.WHOLE: Top.WAX}


@pytest.mark.parametrize("bare", [work(Task.STRIP, days=1), work(Task.SAND, days=1, aim=Aim.LEVEL)])
def test_what_was_laid_bare_has_no_top(bare: WorkDone) -> None:
    assert tops_of([work(Task.PAINT), bare]) == {}
    assert tops_of([work(Task.PAINT), bare, work(Task.WAX, days=2)]) == {Part.WHOLE: Top.WAX}
    assert tops_of([work(Task.PAINT), work(Task.SAND, days=1, aim=Aim.SCUFF)]) == {Part.WHOLE: Top.PAINT}


def test_it_is_gentle_until_the_slowest_coat_is_hard() -> None:
    coats = [work(Task.PAINT, cured_at=NOW + 30 * DAY), work(Task.WAX, days=1, cured_at=NOW + 20 * DAY)]
    assert gentle_until(coats, NOW) == NOW + 30 * DAY
    assert gentle_until(coats, NOW + 30 * DAY) is None
    assert gentle_until([], NOW) is None
    assert gentle_until([work(Task.REPAIR, cured_at=NOW + DAY)], NOW) is None


def test_coats_that_were_stripped_off_harden_no_more() -> None:
    coats = [work(Task.PAINT, cured_at=NOW + 30 * DAY), work(Task.STRIP, days=1)]
    assert gentle_until(coats, NOW) is None


def test_every_line_says_what_it_rests_on_and_the_label_goes_before_all() -> None:
    lines = [line for each in CARE.values() for line in each] + [*EVERY_FINISH, LABEL_FIRST]
    assert {line.source for line in lines if line.source != COMMON_PRACTICE} == {
        "National Fire Protection Association, 2017: rags with oil-based products can ignite by themselves"
    }
    assert care_lines([Top.WAX])[0] is LABEL_FIRST
    assert care_lines([]) == ()


def test_an_oiled_piece_never_comes_without_the_word_on_oily_cloths() -> None:
    for tops in combinations(Top, 2):
        assert ("catch fire" in care_lines(tops)[1].words) is (Top.OIL in tops), "where no cut reaches it"


def test_the_note_follows_what_was_really_done(session: Session, now: datetime) -> None:
    piece = a_piece(session, stage=Stage.PREPPED)
    coats = [a_coat(), a_coat(task=Task.WAX, product=Product.PASTE_WAX)]
    finish = a_finish(session, piece.id, coats)
    row = piece_by_tag(session, piece.tag)
    assert care_of(finishes_of(session, row), now).words == ""
    first, _ = steps_of(session, finish.id)
    do_step(session, first.id, now=now)
    note = care_of(finishes_of(session, row), now)
    assert note.words.splitlines()[1].startswith("Painted: ")
    assert note.gentle_until == now + 30 * DAY


def test_the_finishes_of_many_pieces_are_read_by_piece(session: Session) -> None:
    pieces = [a_piece(session), a_piece(session), a_piece(session)]
    for piece in pieces[:2]:
        a_finish(session, piece.id, [a_coat()])
    found = finishes_by_piece(session, [piece.id for piece in pieces])
    assert {piece_id: len(sheets) for piece_id, sheets in found.items()} == {pieces[0].id: 1, pieces[1].id: 1}
    assert finishes_by_piece(session, []) == {}
