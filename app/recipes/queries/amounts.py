"""How much material steps are going to take, for many steps at once: by labels and by what was used before."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.pieces.models import Piece
from app.pieces.queries import PieceRow
from app.pieces.rules import Form
from app.recipes.models import Finish, FinishStep
from app.recipes.queries.finish_rows import FinishStepRow
from app.recipes.queries.labels import labels_of
from app.recipes.rules import NO_LABEL, Amount, Label, Measures, Part, StepFacts, StepState, Task, amount_for
from app.shelf.models import ShelfUse

Sort = tuple[int | None, Task, Part, str, Form]
"""Steps that take alike: material, task, part, mix and form of piece."""


@dataclass(frozen=True)
class KnownAmounts:
    """What the labels of some materials say, and the thousandths used for each sort of step before, for one thing."""

    labels: Mapping[int, Label]
    used: Mapping[Sort, Sequence[int]]

    def amount(self, piece: PieceRow, step: FinishStepRow) -> Amount | None:
        """How much of its material a step is going to take; None where it names none or nothing is known."""
        if step.material is None:
            return None
        return amount_for(
            step.facts,
            Measures(piece.form, piece.width_mm, piece.depth_mm, piece.height_mm, piece.count),
            step.material.unit,
            label=self.labels.get(step.material.id, NO_LABEL),
            used_before=self.used.get(_sort(step.facts, piece.form), ()),
        )

    def dwell(self, step: FinishStepRow) -> int | None:
        """Minutes a step is left to work: as it says, else as the label of its material does."""
        if step.facts.dwell is not None or step.material is None:
            return step.facts.dwell
        return self.labels.get(step.material.id, NO_LABEL).dwell


def known_amounts(session: Session, steps: Iterable[FinishStepRow]) -> KnownAmounts:
    """What is known of the materials that the steps name; two queries for any number of steps."""
    ids = {step.material.id for step in steps if step.material is not None}
    query = (
        select(
            FinishStep.material_id,
            FinishStep.task,
            FinishStep.part,
            FinishStep.ratio,
            Piece.form,
            Piece.count,
            FinishStep.used_milli,
        )
        .join(Finish, Finish.id == FinishStep.finish_id)
        .join(Piece, Piece.id == Finish.piece_id)
        .join(ShelfUse, ShelfUse.id == FinishStep.use_id)
        .where(
            ShelfUse.struck_at.is_(None),
            FinishStep.material_id.in_(ids),
            FinishStep.state == StepState.DONE,
            FinishStep.used_milli.is_not(None),
        )
    )
    used: dict[Sort, list[int]] = defaultdict(list)
    for material_id, task, part, ratio, form, count, milli in session.execute(query):
        if milli is not None:
            used[material_id, task, part, ratio, form].append(round(milli / count))
    return KnownAmounts(labels_of(session, ids), used)


def _sort(facts: StepFacts, form: Form) -> Sort:
    return facts.material_id, facts.task, facts.part, facts.ratio, form
