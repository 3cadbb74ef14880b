"""Tags on paper: each with its number, its words and a code, placed to the tenth of a millimetre."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Any, Final

import segno
from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from app.basics.paper.letters import BOLD, ONE_AT_A_TIME, PLAIN, STAND_IN, Letters, broken, cut, width_of
from app.desk.rules.tags import (
    INNER_MARGIN,
    SMALLEST_NUMBER,
    SMALLEST_TEXT,
    Cell,
    CodePlace,
    Face,
    Layout,
    Plan,
    TagFace,
    Wish,
    cells_of,
    place_code,
    sheets_of,
)

SMALLEST_VERSION: Final = 4
LEADING: Final = 1.2
POINT: Final[float] = 1 / mm
"""A point in millimetres."""
CORNER: Final = 9.0
HOLE_AT: Final = 7.5
HOLE: Final = 2.2
TICK: Final = 3.0
CARE_TITLE: Final = "Looking after it"
BLACK: Final = colors.black
CUT_LINE: Final = colors.HexColor("#8a8a8a")

CARE_TITLE_SIZE: Final = 11.0
CARE_MARGIN: Final = 4.0
CARE_TOP: Final = CARE_MARGIN + 0.5
CARE_LINES_TOP: Final = CARE_TOP + CARE_TITLE_SIZE * LEADING * POINT + 1.2
CARE_SIZES: Final = (10.0, 9.0, SMALLEST_TEXT)
"""Sizes a note on care is tried in, in points: the largest that fits is taken."""


@lru_cache(maxsize=512)
def code_of(words: str) -> tuple[bytearray, ...]:
    """The modules of a code row by row, 1 for dark, without the white edge; at least a quarter of it may be lost.

    Small codes are made as large as version 4 (33 modules): the squares in their corners take so much of a smaller one
    that a smear over a tenth of it could not always be read through. What that leaves room for goes into repair.
    """
    try:
        return tuple(segno.make_qr(words, error="q", version=SMALLEST_VERSION).matrix)
    except segno.DataOverflowError:
        return tuple(segno.make_qr(words, error="q").matrix)


def require_readable(words: Iterable[str], layout: Layout) -> None:
    """Refuse a layout on which one of the codes would be too small to be read (CodeTooLong)."""
    for modules in {len(code_of(each)) for each in words}:
        place_code(layout, modules)


@dataclass(frozen=True)
class CareText:
    """A note on care broken into the lines of a label, and whether all of it is in them."""

    size: float
    lines: tuple[str, ...]
    is_whole: bool = True


def care_text(care: Sequence[str], layout: Layout) -> CareText:
    """A note on care in the largest letters in which all of it fits the label.

    Where none do, it is cut in the smallest before its last words: those say that the label of a product rules.
    """
    width, height = layout.label
    room, tall, letters = (width - 2 * CARE_MARGIN) * mm, height - CARE_MARGIN - CARE_LINES_TOP, Letters()
    written = [letters.write(words) for words in care]
    for size in CARE_SIZES:
        most = int(tall / (size * LEADING * POINT))
        said = [broken(words, PLAIN, size, room, most + 1) for words in written]
        lines = [line for words in said for line in words]
        if len(lines) <= most:
            return CareText(size, tuple(lines))
    last = said[-1] if len(said[-1]) < most else []
    *kept, cut_off = lines[: most - len(last)]
    # The ellipsis stands although the line itself may have fitted: more was to come.
    return CareText(size, (*kept, cut(f"{cut_off} \u2026", PLAIN, size, room), *last), is_whole=False)


def plan_of(tags: Sequence[TagFace], wish: Wish) -> Plan:
    """How many sheets the tags take, and which of them the paper does not show as they are."""
    cells = cells_of(tags, wish)
    return Plan(
        tags=len(tags),
        sheets=sheets_of(cells, wish.on),
        cut=tuple(cell.tag.number for cell in cells if cell.is_care and not care_text(cell.tag.care, wish.on).is_whole),
        unlettered=tuple(tag.number for tag in tags if _has_stand_in(tag)),
    )


def _has_stand_in(tag: TagFace) -> bool:
    letters = Letters()
    return any(STAND_IN in letters.write(words) and STAND_IN not in words for words in (tag.name, tag.form, *tag.care))


def write_tags(tags: Sequence[TagFace], wish: Wish) -> bytes:
    """The tags as a PDF; the same tags always make the same bytes. Raises CodeTooLong."""
    layout = wish.on
    with ONE_AT_A_TIME:
        body = BytesIO()
        paper = _paper(body, layout, "Tags")
        sheet = -1
        for cell in cells_of(tags, wish):
            while sheet < cell.place // layout.per_sheet:
                sheet = _next_sheet(paper, layout, sheet)
            left, top = layout.corner(cell.place)
            _Label(paper, layout, left + wish.nudge_right, top + wish.nudge_down).draw(cell)
        paper.save()
    return body.getvalue()


def write_frame(wish: Wish) -> bytes:
    """A sheet that shows only the edges of its labels: printed first on plain paper, it tells how to move them."""
    layout = wish.on
    with ONE_AT_A_TIME:
        body = BytesIO()
        paper = _paper(body, layout, "Edges of the labels")
        width, height = layout.label
        for place in range(layout.per_sheet):
            left, top = layout.corner(place)
            label = _Label(paper, layout, left + wish.nudge_right, top + wish.nudge_down)
            label.box(0, 0, width, height)
            label.write(INNER_MARGIN, INNER_MARGIN, str(place + 1), BOLD, SMALLEST_NUMBER)
        paper.save()
    return body.getvalue()


def _paper(body: BytesIO, layout: Layout, title: str) -> Any:
    paper = Canvas(body, pagesize=tuple(side * mm for side in layout.sheet), invariant=1, pageCompression=1)
    paper.setTitle(title)
    paper.setAuthor("")
    paper.setCreator("Tackcloth")
    paper.setProducer("Tackcloth")
    return paper


def _next_sheet(paper: Any, layout: Layout, sheet: int) -> int:
    if sheet >= 0:
        paper.showPage()
    if layout.face is Face.TIE_ON:
        _cut_marks(paper, layout)
    return sheet + 1


def _cut_marks(paper: Any, layout: Layout) -> None:
    """Ticks outside the tags, where a long knife goes from edge to edge."""
    height = layout.sheet[1]
    paper.setStrokeColor(CUT_LINE)
    paper.setLineWidth(0.4)
    width, tall = layout.label
    corners = [layout.corner(place) for place in range(layout.per_sheet)]
    right, bottom = max(left for left, _ in corners) + width, max(top for _, top in corners) + tall
    for across in sorted({left + side for left, _ in corners for side in (0, width)}):
        for start, end in ((layout.top - TICK - 1, layout.top - 1), (bottom + 1, bottom + 1 + TICK)):
            paper.line(across * mm, (height - start) * mm, across * mm, (height - end) * mm)
    for down in sorted({top + side for _, top in corners for side in (0, tall)}):
        for start, end in ((layout.left - TICK - 1, layout.left - 1), (right + 1, right + 1 + TICK)):
            paper.line(start * mm, (height - down) * mm, end * mm, (height - down) * mm)


class _Label:
    """One label of a sheet; all is placed in millimetres from its own upper left corner."""

    def __init__(self, paper: Any, layout: Layout, left: float, top: float) -> None:
        self.paper, self.layout = paper, layout
        self.left, self.top = left, top
        self.letters = Letters()

    def draw(self, cell: Cell) -> None:
        """The front of a tag, or its note on care."""
        self.paper.setFillColor(BLACK)
        if self.layout.face is Face.TIE_ON:
            self._edge(is_behind=cell.is_care)
        if cell.is_care:
            self._care(cell.tag)
            return
        matrix = code_of(cell.tag.code)
        place = place_code(self.layout, len(matrix))
        self._code(matrix, place)
        {Face.STICKER: self._sticker, Face.TIE_ON: self._tie_on, Face.ROLL: self._roll}[self.layout.face](
            cell.tag, place
        )

    def write(self, left: float, top: float, text: str, font: str, size: float) -> float:
        """One line of words under `top`; gives where the next one begins."""
        self.paper.setFont(font, size)
        self.paper.drawString((self.left + left) * mm, self._up(top + size * POINT), text)
        return top + size * LEADING * POINT

    def box(self, left: float, top: float, width: float, height: float) -> None:
        """A thin frame."""
        self.paper.setStrokeColor(CUT_LINE)
        self.paper.setLineWidth(0.3)
        self.paper.rect((self.left + left) * mm, self._up(top + height), width * mm, height * mm)

    def _up(self, top: float) -> float:
        return float((self.layout.sheet[1] - self.top - top) * mm)

    def _code(self, matrix: Sequence[bytearray], place: CodePlace) -> None:
        """All dark modules as one path: drawn apart, their edges would show as white hairs."""
        path = self.paper.beginPath()
        side = place.module * mm
        left = (self.left + place.left) * mm
        for row, line in enumerate(matrix):
            low = self._up(place.top + (row + 1) * place.module)
            for start, end in _runs(line):
                path.rect(left + start * side, low, (end - start) * side, side)
        self.paper.drawPath(path, stroke=0, fill=1)

    def _sticker(self, tag: TagFace, place: CodePlace) -> None:
        left = place.left + place.side + place.quiet
        width, height = self.layout.label
        self._words(tag, left, INNER_MARGIN, width - INNER_MARGIN - left, height - INNER_MARGIN)

    def _tie_on(self, tag: TagFace, place: CodePlace) -> None:
        room = place.left - place.quiet - 5.0
        height = self.layout.label[1]
        self._number(tag, HOLE_AT + HOLE + 5.0, 4.0, room - HOLE_AT - HOLE - 1.0)
        self._words(tag, 5.0, 22.0, room, height - 5.0, has_number=False)

    def _roll(self, tag: TagFace, place: CodePlace) -> None:
        width, height = self.layout.label
        margin = 4.0
        self._number(tag, margin, margin, width - 2 * margin)
        below = place.top + place.side + place.quiet
        self._words(tag, margin, below, width - 2 * margin, height - margin, has_number=False)

    def _number(self, tag: TagFace, left: float, top: float, room: float) -> float:
        size = self.layout.letters[0]
        while size > SMALLEST_NUMBER and width_of(tag.number, BOLD, size) > room * mm:
            size -= 1
        return self.write(left, top, tag.number, BOLD, size)

    def _words(
        self, tag: TagFace, left: float, top: float, room: float, bottom: float, *, has_number: bool = True
    ) -> None:
        """Name, form and size under one another; the name takes the lines that the others leave."""
        if has_number:
            top = self._number(tag, left, top, room)
        _, name_size, size = self.layout.letters
        form = "" if tag.form == tag.name else tag.form
        small = [cut(self.letters.write(form), PLAIN, size, room * mm)] if form else []
        small += broken(self.letters.write(tag.size), PLAIN, size, room * mm, 2)
        left_over = bottom - top - len(small) * size * LEADING * POINT
        lines = max(int(left_over / (name_size * LEADING * POINT)), 1)
        for line in broken(self.letters.write(tag.name), BOLD, name_size, room * mm, min(lines, 4)):
            top = self.write(left, top, line, BOLD, name_size)
        for line in small:
            if top + size * POINT <= bottom:
                top = self.write(left, top, line, PLAIN, size)

    def _care(self, tag: TagFace) -> None:
        """The note on care, with the number of its tag in the corner."""
        right = CORNER + 3.0 if self.layout.face is Face.TIE_ON else CARE_MARGIN
        number_width = width_of(tag.number, BOLD, SMALLEST_NUMBER) / mm
        left = self.layout.label[0] - right - number_width
        self.write(left, CARE_MARGIN, tag.number, BOLD, SMALLEST_NUMBER)
        self.write(CARE_MARGIN, CARE_TOP, CARE_TITLE, BOLD, CARE_TITLE_SIZE)
        text, top = care_text(tag.care, self.layout), CARE_LINES_TOP
        for line in text.lines:
            top = self.write(CARE_MARGIN, top, line, PLAIN, text.size)

    def _edge(self, *, is_behind: bool) -> None:
        """The line to cut along, with the corner cut off and the hole for the string; turned over for the back."""
        width, height = self.layout.label

        def across(left: float) -> float:
            return float((self.left + (width - left if is_behind else left)) * mm)

        path = self.paper.beginPath()
        path.moveTo(across(CORNER), self._up(0.0))
        for left, top in ((width, 0.0), (width, height), (0.0, height), (0.0, CORNER)):
            path.lineTo(across(left), self._up(top))
        path.close()
        self.paper.setStrokeColor(CUT_LINE)
        self.paper.setLineWidth(0.4)
        self.paper.drawPath(path, stroke=1, fill=0)
        self.paper.circle(across(HOLE_AT), self._up(HOLE_AT), HOLE * mm, stroke=1, fill=0)


def _runs(line: bytearray) -> Iterable[tuple[int, int]]:
    """Where dark modules begin and end in a row."""
    start = None
    for place, dark in enumerate((*line, 0)):
        if dark and start is None:
            start = place
        elif not dark and start is not None:
            yield start, place
            start = None
