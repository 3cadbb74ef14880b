"""How long a step takes: from the owner's own log, from 3 times on, else as written, else a guess."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import median
from types import MappingProxyType
from typing import Final

from app.recipes.rules.kinds import Task

ENOUGH_LOGGED: Final = 3
"""From so many logged times on the owner's own median is used."""

GUESSED_MINUTES: Mapping[Task, int] = MappingProxyType(
    {
        Task.CLEAN: 30,
        Task.TEST: 10,
        Task.STRIP: 60,
        Task.REPAIR: 45,
        Task.FILL: 20,
        Task.SAND: 60,
        Task.SEAL: 25,
        Task.PRIME: 30,
        Task.PAINT: 40,
        Task.WASH: 30,
        Task.GLAZE: 40,
        Task.STAIN: 30,
        Task.WAX: 40,
        Task.CLEAR_COAT: 30,
        Task.DISTRESS: 20,
        Task.HARDWARE: 30,
        Task.LINE_DRAWERS: 30,
        Task.PHOTOGRAPH: 25,
    }
)
"""Minutes of work where nobody has logged any: guesses of our own, no source, shown as such."""


class MinutesFrom(StrEnum):
    """Where an estimate of minutes comes from."""

    LOG = "log"
    WRITTEN = "written"
    GUESS = "guess"


@dataclass(frozen=True)
class Estimate:
    """Minutes of work for a step, where they come from, and from how many logged times."""

    minutes: int
    source: MinutesFrom
    times: int = 0

    @property
    def words(self) -> str:
        """Where it comes from, in words."""
        if self.source is MinutesFrom.LOG:
            return f"your median of {self.times} times"
        return "as the recipe says" if self.source is MinutesFrom.WRITTEN else "guess"


def estimate(task: Task, written: int | None, logged: Sequence[int]) -> Estimate:
    """How long a step of a task takes, from the minutes logged for such steps and what its recipe says."""
    if len(logged) >= ENOUGH_LOGGED:
        return Estimate(max(round(median(logged)), 1), MinutesFrom.LOG, len(logged))
    if written is not None:
        return Estimate(written, MinutesFrom.WRITTEN)
    return Estimate(GUESSED_MINUTES[task], MinutesFrom.GUESS)
