"""How to look after a piece, by everything that was really done to it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from app.recipes.queries.finish_rows import FinishSheet
from app.recipes.rules import CareLine, StepState, WorkDone, care_lines, gentle_until, tops_of


@dataclass(frozen=True)
class CareNote:
    """What its finish asks for, worked out; `gentle_until` is None once it is hard through."""

    lines: tuple[CareLine, ...] = ()
    gentle_until: datetime | None = None

    @property
    def words(self) -> str:
        """The lines under one another; nothing where no coat is known."""
        return "\n".join(line.words for line in self.lines)


def care_of(finishes: Iterable[FinishSheet], now: datetime) -> CareNote:
    """What the finishes of one piece ask for together; those given up count as far as they were done."""
    done = [
        WorkDone(
            task=step.facts.task,
            part=step.part,
            done_at=step.done_at,
            aim=step.facts.aim,
            product=step.known.product,
            cured_at=step.cured_at,
        )
        for finish in finishes
        for step in finish.steps
        if step.state is StepState.DONE and step.done_at is not None
    ]
    return CareNote(care_lines(tops_of(done).values()), gentle_until(done, now))
