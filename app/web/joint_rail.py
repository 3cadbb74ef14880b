"""The joint rail: a piece's stages as one row of dovetails, cut as the work gets done."""

from __future__ import annotations

from dataclasses import dataclass, replace

STATE_WORDS = {"cut": "done", "here": "now", "ahead": "not yet", "skipped": "skipped"}

# One joint fills a field 60 wide and 46 high: the tail board hangs from above into the pin board below.
SEATED_TAIL = "M0 8H60V16H43L51 36H9L17 16H0Z"
RAISED_TAIL = "M0 1H60V9H43L51 29H9L17 9H0Z"
CUT_PINS = "M0 16H17L9 36H51L43 16H60V45H0Z"
UNCUT_BOARD = "M0 16H60V45H0Z"
SCRIBED_TAIL = "M17 16L9 36H51L43 16"
WASTE_MARKS = "M14 32L27 17M20 36L36 17M30 36L44 20M40 36L48 27"
SEATED_KERF = "M27 7H33V25H27Z"
RAISED_KERF = "M27 0H33V18H27Z"
END_CUT = "M2 8V45M8 8V45"
END_GRAIN = "M2 20L8 13M2 29L8 22M2 38L8 31M2 45L8 40"


@dataclass(frozen=True)
class StageMark:
    """One stage of a piece: `state` is "cut" (done), "here", "ahead" or "skipped".

    `date_text` is the day it was entered, as it shall be read; `stepped_back` says that the piece once
    came back out of this stage. An unknown state is refused with ValueError.
    """

    key: str
    label: str
    state: str
    date_text: str | None = None
    stepped_back: bool = False

    def __post_init__(self) -> None:
        if self.state not in STATE_WORDS:
            raise ValueError(f"A stage is one of {', '.join(STATE_WORDS)}, not {self.state!r}.")


@dataclass(frozen=True)
class Line:
    """One path of a joint with its CSS class."""

    css: str
    path: str


@dataclass(frozen=True)
class Joint:
    """One place on the rail, ready to write: its lines, its words, and what a screen reader adds."""

    key: str
    label: str
    state: str
    spoken: str
    date_text: str | None
    notes: tuple[str, ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class JointRail:
    """All stages in order; `left_text` is the word for leaving without a sale, which ends the rail."""

    stages: tuple[StageMark, ...]
    left_text: str | None = None

    @property
    def joints(self) -> tuple[Joint, ...]:
        """Every place to draw; after leaving, the stages never reached give way to a plain end cut."""
        if self.left_text is None:
            return tuple(_joint(mark) for mark in self.stages)
        reached = tuple(
            _joint(replace(mark, state="cut") if mark.state == "here" else mark)
            for mark in self.stages
            if mark.state != "ahead"
        )
        end = (Line("joint-end", END_CUT), Line("joint-waste", END_GRAIN))
        return (*reached, Joint("left", self.left_text, "left", "left without a sale", None, (), end))

    @property
    def present_label(self) -> str:
        """The word for where the piece is: the way it left, or the label of its present stage."""
        if self.left_text is not None:
            return self.left_text
        return next((mark.label for mark in reversed(self.stages) if mark.state in {"here", "cut"}), "")


def _joint(mark: StageMark) -> Joint:
    said = {"skipped": mark.state == "skipped", "stepped back": mark.stepped_back}
    notes = tuple(words for words, is_true in said.items() if is_true)
    spoken = "" if mark.state == "skipped" else STATE_WORDS[mark.state]
    return Joint(mark.key, mark.label, mark.state, spoken, mark.date_text, notes, _lines(mark))


def _lines(mark: StageMark) -> tuple[Line, ...]:
    """Seated when done, raised while being driven home, scribed when ahead, hatched as waste when skipped."""
    tail, kerf = SEATED_TAIL, SEATED_KERF
    if mark.state == "here":
        tail, kerf = RAISED_TAIL, RAISED_KERF
    if mark.state in {"here", "cut"}:
        drawn = [Line("joint-pins", CUT_PINS), Line("joint-tail", tail)]
    else:
        drawn = [Line("joint-pins", UNCUT_BOARD), Line("joint-scribed", SCRIBED_TAIL)]
    if mark.state == "skipped":
        drawn.append(Line("joint-waste", WASTE_MARKS))
    if mark.stepped_back:
        drawn.append(Line("joint-kerf", kerf))
    return tuple(drawn)
