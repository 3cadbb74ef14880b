"""What finishers do as a rule: habits of the trade with no authority behind them, said as such beside a step."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from app.recipes.rules.coverage import USUAL_COATS
from app.recipes.rules.kinds import Aim, Task
from app.recipes.rules.products import COMMON_PRACTICE

USUAL_SCUFF_GRIT: Final = 180
USUAL_LEVEL_GRIT: Final = 80
USUAL_STRIPPER_MINUTES: Final = 60


@dataclass(frozen=True)
class Habit:
    """One habit, in words; the label of the product goes before it."""

    words: str
    source: str = COMMON_PRACTICE


_BY_TASK: Final[Mapping[Task, Habit]] = MappingProxyType(
    {
        Task.CLEAN: Habit("Degrease before sanding and before any coat."),
        Task.STRIP: Habit(
            f"Leave it about {USUAL_STRIPPER_MINUTES} minutes; in hot weather cover it so that it stays wet."
            " The label's own time rules."
        ),
        Task.SEAL: Habit("Seal or prime over red woods, stains and mixed old finishes before light paint."),
        Task.PRIME: Habit("Seal or prime over red woods, stains and mixed old finishes before light paint."),
        Task.PAINT: Habit(f"{USUAL_COATS} coats for full cover."),
        Task.WASH: Habit("1 part paint to 3 or 4 parts water; wipe it back within about half a minute."),
        Task.WAX: Habit("Wax or clear coat comes last."),
        Task.CLEAR_COAT: Habit("Wax or clear coat comes last."),
    }
)
_BY_AIM: Final[Mapping[Aim, Habit]] = MappingProxyType(
    {
        Aim.SCUFF: Habit(f"{USUAL_SCUFF_GRIT} scuffs a sound old finish before paint."),
        Aim.LEVEL: Habit(f"{USUAL_LEVEL_GRIT} takes a rough or over-sprayed film off first."),
        Aim.REMOVE_DUST: Habit("Vacuum, then wipe: do not blow."),
    }
)


def habit_of(task: Task, aim: Aim | None) -> Habit | None:
    """The habit that goes with a step, by its aim where that has one of its own, else by its task."""
    return (_BY_AIM.get(aim) if aim else None) or _BY_TASK.get(task)
