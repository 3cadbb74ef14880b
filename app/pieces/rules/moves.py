"""How a piece may move: the table of allowed moves and what each sort of move asks for."""

from collections.abc import Mapping
from datetime import date
from types import MappingProxyType

from app.basics.dates import day_in_words
from app.basics.errors import RuleError
from app.pieces.rules.kinds import LEAVING_WORDS, STAGE_ORDER, Leaving, Stage, StepKind

# Forward moves may pass over stages (a piece can be sold as found); back moves need a reason.
# "sold" is entered only by recording a sale and left only by a return or by striking out a mistaken sale;
# "listed" is entered only by listing. The actions of those rooms see to that; `require_hand_move` guards the rest.
ALLOWED_MOVES: Mapping[Stage, frozenset[Stage]] = MappingProxyType(
    {
        Stage.SOURCED: frozenset({Stage.PREPPED, Stage.FINISHED, Stage.LISTED, Stage.SOLD}),
        Stage.PREPPED: frozenset({Stage.SOURCED, Stage.FINISHED, Stage.LISTED, Stage.SOLD}),
        Stage.FINISHED: frozenset({Stage.SOURCED, Stage.PREPPED, Stage.LISTED, Stage.SOLD}),
        Stage.LISTED: frozenset({Stage.SOURCED, Stage.PREPPED, Stage.FINISHED, Stage.SOLD}),
        Stage.SOLD: frozenset({Stage.SOURCED, Stage.PREPPED, Stage.FINISHED, Stage.LISTED}),
    }
)

NOT_SOLD = frozenset(STAGE_ORDER) - {Stage.SOLD}

# From which stages, and to which, each sort of move between stages may lead.
KIND_MOVES: Mapping[StepKind, tuple[frozenset[Stage], frozenset[Stage]]] = MappingProxyType(
    {
        StepKind.FORWARD: (NOT_SOLD, NOT_SOLD),
        StepKind.BACK: (NOT_SOLD, NOT_SOLD),
        StepKind.SALE: (NOT_SOLD, frozenset({Stage.SOLD})),
        StepKind.SALE_STRUCK: (frozenset({Stage.SOLD}), NOT_SOLD),
        StepKind.RETURN: (frozenset({Stage.SOLD}), NOT_SOLD),
        StepKind.RETURN_STRUCK: (NOT_SOLD, frozenset({Stage.SOLD})),
    }
)

# Stages the owner enters by hand; "listed" and "sold" are entered by listing and by selling.
HAND_STAGES: tuple[Stage, ...] = (Stage.SOURCED, Stage.PREPPED, Stage.FINISHED)


class CannotMove(RuleError):
    """The piece may not go from its stage to the one asked for in the way asked for."""


def is_back(from_stage: Stage, to_stage: Stage) -> bool:
    """Whether the move goes against the order of the stages."""
    return STAGE_ORDER.index(to_stage) < STAGE_ORDER.index(from_stage)


def require_move(from_stage: Stage, to_stage: Stage) -> None:
    """Refuse a move the table does not hold."""
    if to_stage is from_stage:
        raise CannotMove(f"It is {from_stage} already.", "to_stage")
    if to_stage not in ALLOWED_MOVES[from_stage]:
        raise CannotMove(f"A piece that is {from_stage} cannot become {to_stage}.", "to_stage")


def require_kind(kind: StepKind, from_stage: Stage, to_stage: Stage, reason: str) -> None:
    """Refuse a move that its sort does not make, and a step back without a reason."""
    require_move(from_stage, to_stage)
    if kind not in KIND_MOVES:
        raise CannotMove(f"A step of the sort {kind} does not lead from stage to stage.", "to_stage")
    from_stages, to_stages = KIND_MOVES[kind]
    if from_stage not in from_stages or to_stage not in to_stages:
        raise CannotMove(f"A piece does not go from {from_stage} to {to_stage} that way.", "to_stage")
    if kind is StepKind.FORWARD and is_back(from_stage, to_stage):
        raise CannotMove(f"From {from_stage} to {to_stage} is a step back.", "to_stage")
    if kind is StepKind.BACK:
        if not is_back(from_stage, to_stage):
            raise CannotMove(f"From {from_stage} to {to_stage} is a step forward.", "to_stage")
        _require_reason(reason)


def require_hand_move(from_stage: Stage, to_stage: Stage, reason: str) -> None:
    """Refuse a move by hand that only a sale, a return or a listing may make, or a step back without a reason."""
    require_move(from_stage, to_stage)
    if to_stage is Stage.SOLD:
        raise CannotMove("A piece becomes sold by recording its sale.", "to_stage")
    if to_stage is Stage.LISTED:
        raise CannotMove("A piece goes on the floor by listing it at a price.", "to_stage")
    if from_stage is Stage.SOLD:
        raise CannotMove("A sold piece comes back by a return, or by striking out a mistaken sale.", "to_stage")
    if is_back(from_stage, to_stage):
        _require_reason(reason)


def _require_reason(reason: str) -> None:
    if not reason.strip():
        raise RuleError("Say why it steps back; a few words will do.", "reason")


def require_counts(struck_reason: str | None) -> None:
    """Refuse a piece that was struck out because it was logged by mistake."""
    if struck_reason is not None:
        raise CannotMove("It was logged by mistake and is struck out, so nothing more can be done with it.")


def require_here(left_as: Leaving | None) -> None:
    """Refuse a piece that has left without a sale."""
    if left_as is not None:
        raise CannotMove(f"It has left ({LEAVING_WORDS[left_as]}). Bring it back first.")


def require_on_hand(stage: Stage, left_as: Leaving | None) -> None:
    """Refuse a piece that has left or is sold."""
    require_here(left_as)
    if stage is Stage.SOLD:
        raise CannotMove("It is sold, so it is not here any more.")


def require_day_in_order(on_date: date, last_step_on: date, field: str = "on_date") -> None:
    """Refuse a step dated before the one it follows."""
    if on_date < last_step_on:
        raise RuleError(
            f"Its last step was on {day_in_words(last_step_on)}; this one cannot be dated before that.", field
        )


def stage_on_coming_back(stage: Stage) -> Stage:
    """The stage of a piece that comes back after leaving: one that left from the floor must be listed anew."""
    return Stage.FINISHED if stage is Stage.LISTED else stage


def next_by_hand(stage: Stage) -> tuple[Stage, ...]:
    """The stages a piece may step forward to by hand, nearest first."""
    return tuple(s for s in HAND_STAGES if STAGE_ORDER.index(s) > STAGE_ORDER.index(stage))


def back_by_hand(stage: Stage) -> tuple[Stage, ...]:
    """The stages a piece may step back to by hand, nearest first; none for a sold one."""
    if stage is Stage.SOLD:
        return ()
    return tuple(s for s in reversed(HAND_STAGES) if is_back(stage, s))
