"""What an edition of a recipe changed against the one before it, step by step."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import TypeAlias

from app.recipes.rules.steps import StepFacts, changed_words

Numbered: TypeAlias = tuple[int, StepFacts]
"""A step with its number, counted from 1."""


@dataclass(frozen=True)
class EditionChange:
    """A step that is not what or where it was; `was` is None for a new one, `became` for one taken out.

    Both are numbers counted from 1, in the edition before and in the one after.
    """

    step: StepFacts
    was: int | None
    became: int | None
    facts: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What changed, like "step 3 now: coats, note" or "taken out"."""
        if self.became is None:
            return f"step {self.was} taken out"
        if self.was is None:
            return f"new as step {self.became}"
        place = f"step {self.became} now" if self.was == self.became else f"step {self.became} now, was {self.was}"
        return f"{place}: {', '.join(self.facts)}" if self.facts else place


def edition_changes(before: Sequence[StepFacts], after: Sequence[StepFacts]) -> list[EditionChange]:
    """What became of the steps of one edition in another, in the order of the later one, those taken out last.

    A step that only slid because of others is none; one of the same task on the same part is taken to be the same.
    """
    gone: list[Numbered] = []
    come: list[Numbered] = []
    for tag, first, last, there_first, there_last in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if tag != "equal":
            gone += enumerate(before[first:last], first + 1)
            come += enumerate(after[there_first:there_last], there_first + 1)
    pairs = _paired(gone, come, lambda was, became: was == became)
    pairs += _paired(gone, come, lambda was, became: (was.task, was.part) == (became.task, became.part))
    changes = [
        EditionChange(became, was_at, at, tuple(changed_words(was, became))) for (was_at, was), (at, became) in pairs
    ]
    changes += [EditionChange(step, None, at) for at, step in come]
    found = sorted(changes, key=lambda change: change.became or 0)
    return [*found, *(EditionChange(step, at, None) for at, step in gone)]


def _paired(
    gone: list[Numbered], come: list[Numbered], is_same: Callable[[StepFacts, StepFacts], bool]
) -> list[tuple[Numbered, Numbered]]:
    """Pairs of steps that are the same, taken out of both lists."""
    pairs = []
    for was in list(gone):
        became = next((each for each in come if is_same(was[1], each[1])), None)
        if became is not None:
            gone.remove(was)
            come.remove(became)
            pairs.append((was, became))
    return pairs
