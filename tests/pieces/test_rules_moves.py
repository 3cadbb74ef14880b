"""How a piece may move: every cell of the table, what each sort of move asks for, and tags."""

import random
from datetime import date

import pytest

from app.basics.errors import RuleError
from app.pieces.rules import (
    ALLOWED_MOVES,
    STAGE_ORDER,
    TAG_DIGITS,
    TAG_LETTERS,
    CannotMove,
    Leaving,
    Stage,
    StepKind,
    back_by_hand,
    draw_tag,
    is_back,
    is_fit_tag,
    next_by_hand,
    require_day_in_order,
    require_hand_move,
    require_here,
    require_kind,
    require_move,
    require_on_hand,
    stage_on_coming_back,
)

S, P, F, L, X = STAGE_ORDER

# One line for each cell: from, to, whether the owner may do it by hand with a reason at hand.
CELLS = [
    (S, S, False), (S, P, True), (S, F, True), (S, L, False), (S, X, False),
    (P, S, True), (P, P, False), (P, F, True), (P, L, False), (P, X, False),
    (F, S, True), (F, P, True), (F, F, False), (F, L, False), (F, X, False),
    (L, S, True), (L, P, True), (L, F, True), (L, L, False), (L, X, False),
    (X, S, False), (X, P, False), (X, F, False), (X, L, False), (X, X, False),
]  # fmt: skip


def test_the_cells_are_all_there() -> None:
    assert len({(a, b) for a, b, _ in CELLS}) == len(STAGE_ORDER) ** 2


@pytest.mark.parametrize(("from_stage", "to_stage", "by_hand"), CELLS)
def test_a_move_by_hand_follows_the_table(from_stage: Stage, to_stage: Stage, by_hand: bool) -> None:  # noqa: FBT001
    if by_hand:
        require_hand_move(from_stage, to_stage, "the drawer sticks")
    else:
        with pytest.raises(CannotMove):
            require_hand_move(from_stage, to_stage, "the drawer sticks")


@pytest.mark.parametrize(("from_stage", "to_stage", "_by_hand"), CELLS)
def test_the_table_holds_every_move_but_staying(from_stage: Stage, to_stage: Stage, _by_hand: bool) -> None:  # noqa: FBT001
    assert (to_stage in ALLOWED_MOVES[from_stage]) is (from_stage is not to_stage)
    if from_stage is to_stage:
        with pytest.raises(CannotMove, match="already"):
            require_move(from_stage, to_stage)
    else:
        require_move(from_stage, to_stage)


# Which sort of move leads where: from stages, to stages.
KIND_CELLS = {
    StepKind.FORWARD: {(S, P), (S, F), (S, L), (P, F), (P, L), (F, L)},
    StepKind.BACK: {(P, S), (F, S), (F, P), (L, S), (L, P), (L, F)},
    StepKind.SALE: {(S, X), (P, X), (F, X), (L, X)},
    StepKind.SALE_STRUCK: {(X, S), (X, P), (X, F), (X, L)},
    StepKind.RETURN: {(X, S), (X, P), (X, F), (X, L)},
    StepKind.RETURN_STRUCK: {(S, X), (P, X), (F, X), (L, X)},
    StepKind.START: set(),
    StepKind.OUT: set(),
    StepKind.IN_AGAIN: set(),
}


@pytest.mark.parametrize("kind", StepKind)
@pytest.mark.parametrize("from_stage", Stage)
@pytest.mark.parametrize("to_stage", Stage)
def test_each_sort_of_move_leads_only_where_it_may(kind: StepKind, from_stage: Stage, to_stage: Stage) -> None:
    if (from_stage, to_stage) in KIND_CELLS[kind]:
        require_kind(kind, from_stage, to_stage, "why")
    else:
        with pytest.raises(CannotMove):
            require_kind(kind, from_stage, to_stage, "why")


@pytest.mark.parametrize("reason", ["", "   "])
def test_a_step_back_wants_its_reason(reason: str) -> None:
    with pytest.raises(RuleError, match="why it steps back") as refusal:
        require_hand_move(Stage.FINISHED, Stage.PREPPED, reason)
    assert refusal.value.field == "reason"
    with pytest.raises(RuleError, match="why it steps back"):
        require_kind(StepKind.BACK, Stage.FINISHED, Stage.PREPPED, reason)


def test_a_step_forward_wants_no_reason() -> None:
    require_hand_move(Stage.SOURCED, Stage.PREPPED, "")


@pytest.mark.parametrize("how", Leaving)
def test_a_piece_that_left_neither_moves_nor_leaves_again(how: Leaving) -> None:
    with pytest.raises(CannotMove, match="Bring it back first"):
        require_here(how)
    with pytest.raises(CannotMove):
        require_on_hand(Stage.SOURCED, how)


def test_a_sold_piece_cannot_leave() -> None:
    with pytest.raises(CannotMove, match="sold"):
        require_on_hand(Stage.SOLD, None)


def test_a_step_may_fall_on_the_day_of_the_one_before_but_not_before_it() -> None:
    require_day_in_order(date(2026, 3, 4), date(2026, 3, 4))
    with pytest.raises(RuleError, match="4 March 2026"):
        require_day_in_order(date(2026, 3, 3), date(2026, 3, 4))


def test_a_piece_that_left_from_the_floor_comes_back_finished() -> None:
    assert stage_on_coming_back(Stage.LISTED) is Stage.FINISHED
    assert all(stage_on_coming_back(stage) is stage for stage in Stage if stage is not Stage.LISTED)


@pytest.mark.parametrize("stage", Stage)
def test_stages_offered_by_hand_are_those_the_rules_take(stage: Stage) -> None:
    forward = {to for to in Stage if _takes(stage, to) and not is_back(stage, to)}
    back = {to for to in Stage if _takes(stage, to) and is_back(stage, to)}
    assert set(next_by_hand(stage)) == forward
    assert set(back_by_hand(stage)) == back


def _takes(stage: Stage, to: Stage) -> bool:
    try:
        require_hand_move(stage, to, "why")
    except CannotMove:
        return False
    return True


def test_a_tag_has_a_digit_and_a_letter_and_nothing_that_looks_alike() -> None:
    pick = random.Random(4).choice  # noqa: S311 - a test wants the same draw each time
    for so_far, length in ((0, 3), (1699, 3), (1700, 4)):
        tags = {draw_tag(pick, lambda _tag: False, so_far) for _ in range(300)}
        assert all(is_fit_tag(tag) and len(tag) == length for tag in tags)
    characters = set(TAG_DIGITS + TAG_LETTERS)
    assert not characters & set("AEIOUY"), "no tag may spell a word"
    for alike in ("0O", "1I", "1L", "2Z", "5S", "6G", "8B", "UV"):
        assert not set(alike) <= characters, alike


def test_a_tag_that_is_taken_is_drawn_again() -> None:
    draws = iter("3CD4FH")
    assert draw_tag(lambda _characters: next(draws), lambda tag: tag == "3CD", 2) == "4FH"
