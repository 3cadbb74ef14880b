"""The days that bind a piece besides its steps: when the books it was owned in began, and when it was split."""

from collections.abc import Collection, Sequence
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.dates import day_in_words, require_not_before
from app.basics.errors import RuleError
from app.pieces.models import Purchase, Step, Transfer
from app.pieces.rules import PurchaseKind, StepKind, StepRow, field_of, require_found_before

BOOKS_BEGAN = "the day your books began"
WAS_SPLIT = "the day it was split"

_STAYS_AWAY = frozenset({StepKind.OUT, StepKind.IN_AGAIN})


def require_day_that_fits(
    session: Session, piece_id: int, on_date: date, field: str = "on_date", *, takes_cost: bool = True
) -> None:
    """Refuse, at `field`, a day before the piece's cost came into the books or went on to its parts (RuleError).

    A sale dated before either would leave the cost behind: as an expense on a piece already gone. A move that
    takes no cost along (`takes_cost` False), as from finished to listed, may be older than the books.
    """
    began = _opened_on(session, piece_id) if takes_cost else None
    if began is not None:
        require_not_before(on_date, began, field, BOOKS_BEGAN)
    split = session.scalar(select(func.max(Transfer.on_date)).where(Transfer.from_piece_id == piece_id))
    if split is not None:
        require_not_before(on_date, split, field, WAS_SPLIT)


def require_steps_that_fit(
    session: Session, piece_id: int, standing: Sequence[StepRow], changed_ids: Collection[int]
) -> None:
    """Refuse, at the step's field, a changed step that would pass a split of the piece (RuleError).

    Also one by which a piece owned at the start would leave or come back before the books began.
    """
    splits = _splits(session, piece_id)
    began = _opened_on(session, piece_id)
    for step in standing:
        if step.id not in changed_ids:
            continue
        if began is not None and step.kind in _STAYS_AWAY:
            require_not_before(step.on_date, began, field_of(step), BOOKS_BEGAN)
        for mark, on_date in splits:
            if step.id > mark:
                require_not_before(step.on_date, on_date, field_of(step), WAS_SPLIT)
            elif step.kind is StepKind.START:
                require_found_before(step.on_date, on_date, WAS_SPLIT)
            elif step.on_date > on_date:
                raise RuleError(f"It was split after that, on {day_in_words(on_date)}.", field_of(step))


def _opened_on(session: Session, piece_id: int) -> date | None:
    """The day a piece's cost came into the books as opening stock; None when it was not owned at the start."""
    return session.scalar(
        select(Purchase.on_date).where(
            Purchase.piece_id == piece_id, Purchase.kind == PurchaseKind.OPENING, Purchase.struck_at.is_(None)
        )
    )


def _splits(session: Session, piece_id: int) -> list[tuple[int, date]]:
    """Each split of the piece: the id of the step its part started with, and its day.

    Ids only grow, so that step parts what the piece did before the split from what it did after.
    """
    started = select(func.min(Step.id)).where(Step.piece_id == Transfer.to_piece_id).correlate(Transfer)
    found = session.execute(
        select(started.scalar_subquery(), Transfer.on_date).where(Transfer.from_piece_id == piece_id)
    )
    return [(mark, on_date) for mark, on_date in found]
