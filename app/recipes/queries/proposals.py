"""What the page of a step that is done proposes: its minutes by the clock or the log, its amount by what is known."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.basics.quantities import Units, format_minutes
from app.pieces.queries import PieceRow
from app.recipes.models import FinishStep
from app.recipes.queries.amounts import known_amounts
from app.recipes.queries.finish_rows import FinishSheet, FinishStepRow
from app.recipes.queries.finishes import finishes_of
from app.recipes.queries.learned import learned_minutes
from app.recipes.queries.times import clock_on_step, entries_since
from app.recipes.rules import Amount, FinishState
from app.shelf.rules import Measure, measures_for, rounded_in
from app.timelog.rules import whole_minutes


@dataclass(frozen=True)
class DoneProposal:
    """Minutes and quantity as the form shows them at first, each with where it comes from.

    `is_last` says that nothing else is left to do on the piece after the step.
    """

    minutes: int
    minutes_words: str
    quantity: str
    measure: Measure | None
    quantity_words: str
    usual_milli: int | None
    is_last: bool


def done_proposal(
    session: Session, finish: FinishSheet, step: FinishStepRow, *, now: datetime, units: Units
) -> DoneProposal:
    """What to propose for a step that is said to be done now."""
    minutes, minutes_words = _minutes(session, finish, step, now)
    amount = amount_of(session, finish.piece, step)
    quantity, measure, words = "", None, "Left empty, nothing is taken off the shelf."
    if amount is not None and step.material is not None:
        measure = measures_for(step.material.unit, units)[0]
        quantity = rounded_in(amount.milli, measure)
        words = f"{amount.words} {words}"
    usual = amount.milli if amount else None
    return DoneProposal(minutes, minutes_words, quantity, measure, words, usual, _is_last(session, finish, step))


def amount_of(session: Session, piece: PieceRow, step: FinishStepRow) -> Amount | None:
    """How much of its material a step is going to take; None where it names none or nothing is known."""
    return known_amounts(session, [step]).amount(piece, step)


def _minutes(session: Session, finish: FinishSheet, step: FinishStepRow, now: datetime) -> tuple[int, str]:
    stored = session.get_one(FinishStep, step.id)
    logged = sum(entry.minutes for entry in entries_since(session, stored, finish.piece.id))
    clock = clock_on_step(session, stored, finish.piece.id)
    ran = whole_minutes(clock.started_at, now) if clock is not None else 0
    if logged + ran:
        return logged + ran, f"The clock counted {format_minutes(logged + ran)}."
    known = learned_minutes(session).estimate(step.facts, finish.piece.form, finish.piece.count)
    return known.minutes, f"Filled in: {known.words}."


def _is_last(session: Session, finish: FinishSheet, step: FinishStepRow) -> bool:
    if any(not other.is_over for other in finish.steps if other.id != step.id):
        return False
    others = finishes_of(session, finish.piece)
    return all(each.state is not FinishState.UNDER_WAY for each in others if each.id != finish.id)
