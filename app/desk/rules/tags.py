"""Printed tags: the sheets they go on, where each stands, and how large its code must be to be read.

All lengths are millimetres, counted from the upper left corner. A code keeps a white edge of four modules (ISO/IEC
18004, by its maker's own page). That it is 20 mm wide where the label allows, with modules of half a millimetre or more
and a quarter of it spare, is our own choice for a workshop where paint and dust get on it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError

A4: Final = (210.0, 297.0)
LETTER: Final = (215.9, 279.4)
INCH: Final = 25.4

QUIET_MODULES: Final = 4
SMALLEST_MODULE: Final = 0.5
USUAL_CODE: Final = 20.0
INNER_MARGIN: Final = 2.0
SMALLEST_TEXT: Final = 8.0
"""The smallest letters on a tag, in points."""
SMALLEST_NUMBER: Final = 14.0
"""The smallest tag number, in points."""

HEAD_SHARE: Final = 0.45
"""How much of the room for words on a tag from a roll lies over the code, where the number stands."""

NUDGE_STEP: Final = 0.5
NUDGES: Final = tuple(step * NUDGE_STEP for step in range(-6, 7))
MOST_NUDGE: Final = NUDGES[-1]


class LayoutKey(StrEnum):
    """The sheets and rolls tags can be printed on."""

    TIE_A4 = "tie-a4"
    TIE_LETTER = "tie-letter"
    A4_21 = "a4-21"
    LETTER_30 = "letter-30"
    ROLL_62 = "roll-62"
    ROLL_102 = "roll-102"


class Face(StrEnum):
    """How a tag is drawn: stuck on, cut out and tied on, or one by one from a roll."""

    STICKER = "sticker"
    TIE_ON = "tie_on"
    ROLL = "roll"


@dataclass(frozen=True)
class Layout:
    """A sheet of labels: its size, that of a label, and where the labels stand.

    `text_width` is what the words beside a code keep of a label at least, `text_height` what those over and under it
    keep. `code` is how wide the dark part of a code is meant to be. `letters` are the sizes of number, name and words
    in points; a number that does not fit shrinks to 14 points. A layout that `carries_care` has room for a note on
    care, printed as the face behind the tag.
    """

    words: str
    face: Face
    sheet: tuple[float, float]
    label: tuple[float, float]
    across: int = 1
    down: int = 1
    top: float = 0.0
    left: float = 0.0
    gap_across: float = 0.0
    gap_down: float = 0.0
    text_width: float = 0.0
    text_height: float = 0.0
    code: float = USUAL_CODE
    letters: tuple[float, float, float] = (20.0, 9.0, SMALLEST_TEXT)
    carries_care: bool = False

    @property
    def per_sheet(self) -> int:
        """How many labels stand on a sheet."""
        return self.across * self.down

    def corner(self, place: int) -> tuple[float, float]:
        """Where the upper left corner of a label lies, counted from 0, row by row: from the left, from the top."""
        row, column = divmod(place % self.per_sheet, self.across)
        width, height = self.label
        return self.left + column * (width + self.gap_across), self.top + row * (height + self.gap_down)


LAYOUTS: Mapping[LayoutKey, Layout] = MappingProxyType(
    {
        LayoutKey.TIE_A4: Layout(
            "Tie-on tags to cut out, 8 on A4",
            Face.TIE_ON,
            A4,
            (96.0, 62.0),
            across=2,
            down=4,
            top=18.5,
            left=9.0,
            gap_down=4.0,
            text_width=50.0,
            code=26.0,
            letters=(34.0, 12.0, 9.5),
            carries_care=True,
        ),
        LayoutKey.TIE_LETTER: Layout(
            "Tie-on tags to cut out, 8 on US Letter",
            Face.TIE_ON,
            LETTER,
            (96.0, 62.0),
            across=2,
            down=4,
            top=9.7,
            left=11.95,
            gap_down=4.0,
            text_width=50.0,
            code=26.0,
            letters=(34.0, 12.0, 9.5),
            carries_care=True,
        ),
        LayoutKey.A4_21: Layout(
            "Sticky labels, 21 on A4 (63.5 x 38.1 mm)",
            Face.STICKER,
            A4,
            (63.5, 38.1),
            across=3,
            down=7,
            top=15.15,
            left=7.2,
            gap_across=2.5,
            text_width=24.0,
        ),
        LayoutKey.LETTER_30: Layout(
            "Sticky labels, 30 on US Letter (2 5/8 x 1 in)",
            Face.STICKER,
            LETTER,
            (2.625 * INCH, INCH),
            across=3,
            down=10,
            top=0.5 * INCH,
            left=0.1875 * INCH,
            gap_across=0.125 * INCH,
            text_width=24.0,
        ),
        LayoutKey.ROLL_62: Layout(
            "One at a time from a roll, 62 x 100 mm",
            Face.ROLL,
            (62.0, 100.0),
            (62.0, 100.0),
            text_height=38.0,
            code=34.0,
            letters=(32.0, 12.0, 10.0),
            carries_care=True,
        ),
        LayoutKey.ROLL_102: Layout(
            "One at a time from a roll, 102 x 152 mm (4 x 6 in)",
            Face.ROLL,
            (102.0, 152.0),
            (102.0, 152.0),
            text_height=70.0,
            code=56.0,
            letters=(60.0, 20.0, 14.0),
            carries_care=True,
        ),
    }
)
"""The figures of the A4 labels are published by a maker of label templates and add up to the sheet; those of the US
Letter labels and of the rolls are from memory. The Letter ones add up to the sheet too. Tie-on tags are our own."""


class CodeTooLong(RuleError):
    """What the code must say does not fit the label in modules large enough to be read."""

    def __init__(self, layout: Layout) -> None:
        """Say which layout it is, and the way out."""
        super().__init__(
            f"The shop's address is too long for a code that can be read on this label: {layout.words}."
            " Choose a larger tag.",
            "layout",
        )


@dataclass(frozen=True)
class CodePlace:
    """A code on a label: the width of a module, of the dark part, and where the corner of that lies."""

    module: float
    side: float
    left: float
    top: float

    @property
    def quiet(self) -> float:
        """How wide the white edge round it is."""
        return self.module * QUIET_MODULES


def place_code(layout: Layout, modules: int) -> CodePlace:
    """Where a code of so many modules across stands on a label, its white edge on the label too.

    Beside the words on a sticker and on a tie-on tag, between them on a tag from a roll. Raises CodeTooLong where the
    modules would be smaller than half a millimetre.
    """
    width, height = layout.label
    room = min(height - layout.text_height, width - layout.text_width)
    most = room / (modules + 2 * QUIET_MODULES)
    if most < SMALLEST_MODULE:
        raise CodeTooLong(layout)
    module = min(max(layout.code / modules, SMALLEST_MODULE), most)
    side, quiet = module * modules, module * QUIET_MODULES
    if layout.face is Face.STICKER:
        return CodePlace(module, side, quiet, (height - side) / 2)
    if layout.face is Face.TIE_ON:
        return CodePlace(module, side, width - quiet - side, (height - side) / 2)
    return CodePlace(module, side, (width - side) / 2, layout.text_height * HEAD_SHARE + quiet)


@dataclass(frozen=True)
class TagFace:
    """What is printed on one tag; `code` is what its code says, `care` the lines of the face behind it, if any."""

    number: str
    name: str
    form: str
    size: str
    code: str
    care: tuple[str, ...] = ()


@dataclass(frozen=True)
class Wish:
    """How tags are to be printed: on what, from which label on, moved by how much, with a note on care or without."""

    layout: LayoutKey = LayoutKey.TIE_A4
    start: int = 1
    nudge_down: float = 0.0
    nudge_right: float = 0.0
    with_care: bool = False

    @property
    def on(self) -> Layout:
        """The layout itself."""
        return LAYOUTS[self.layout]


@dataclass(frozen=True)
class Cell:
    """One label to be printed: the tag, its place counted from 0 over all sheets, and whether it is the care face."""

    tag: TagFace
    place: int
    is_care: bool = False


def require_sound_wish(wish: Wish) -> None:
    """Refuse, at "start", a label the sheet does not have, and, at its field, a nudge no printer needs (RuleError)."""
    if not 1 <= wish.start <= wish.on.per_sheet:
        raise RuleError(f"That sheet has labels 1 to {wish.on.per_sheet}.", "start")
    for field, nudge in (("down", wish.nudge_down), ("right", wish.nudge_right)):
        if nudge not in NUDGES:
            raise RuleError(f"Move it by half millimetres, by at most {MOST_NUDGE:g} mm.", field)


def cells_of(tags: Sequence[TagFace], wish: Wish) -> list[Cell]:
    """The labels to print, in their order.

    A tag with a note on care stands to the left of it, so that both can be cut out in one and folded; a place that is
    left over for that is passed by, and so is a sheet that nothing goes on for it.
    """
    cells: list[Cell] = []
    place = wish.start - 1
    for tag in tags:
        has_care = bool(tag.care) and wish.with_care and wish.on.carries_care
        if has_care and wish.on.across > 1 and place % wish.on.across:
            place += 1
        cells.append(Cell(tag, place))
        if has_care:
            cells.append(Cell(tag, place + 1, is_care=True))
        place += 1 + has_care
    first = cells[0].place // wish.on.per_sheet * wish.on.per_sheet if cells else 0
    return [replace(cell, place=cell.place - first) for cell in cells]


def sheets_of(cells: Sequence[Cell], layout: Layout) -> int:
    """How many sheets, or labels of a roll, they take."""
    return cells[-1].place // layout.per_sheet + 1 if cells else 0


@dataclass(frozen=True)
class Plan:
    """What printing comes to: how many tags on how many sheets, and what the paper cannot show.

    `cut` are the tags whose note on care is longer than its label, `unlettered` those with letters the font lacks.
    """

    tags: int
    sheets: int
    cut: tuple[str, ...] = ()
    unlettered: tuple[str, ...] = ()


def code_words(tag: str, shop_url: str | None) -> str:
    """What a tag's code says: the address of its piece in capitals, or the tag number while the shop has no address.

    Capitals make a smaller code, and neither the name of a computer nor our own address minds them.
    """
    return f"{shop_url}/t/{tag}".upper() if shop_url else tag
