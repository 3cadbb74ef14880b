"""Blocks laid out on sheets: fonts, sizes, page heads, and tables that break over pages."""

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from io import BytesIO
from typing import Any, Final

from reportlab.lib import colors, pagesizes
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    LongTable,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
)

from app.basics.paper.blocks import Block, Heading, Ladder, NewPage, Note, PaperSize, Rung, RungKind, Table
from app.basics.paper.columns import column_widths
from app.basics.paper.letters import BOLD, ONE_AT_A_TIME, PLAIN, STAND_IN, Letters, cut, width_of

SHEETS: Final = {PaperSize.A4: pagesizes.A4, PaperSize.LETTER: pagesizes.LETTER}
EDGE: Final = 48.0
HEAD_ROOM: Final = 60.0
FOOT_ROOM: Final = 54.0
LADDER_WIDTH: Final = 380.0
TEXT_SIZE: Final = 8.5
SMALLEST: Final = 5.0
GUTTER: Final = 10.0
NUMBERS_AT_MOST: Final = 0.62
INK: Final = colors.HexColor("#1d1812")
SOFT: Final = colors.HexColor("#5d5142")
HAIR: Final = colors.HexColor("#c9bca3")


def document(
    title: str,
    subtitle: str,
    blocks: Iterable[Block],
    *,
    shop_name: str = "",
    size: PaperSize = PaperSize.A4,
    foot: str = "",
) -> bytes:
    """The PDF of a report; `foot` stands small at the foot of every page beside its number.

    The same words always make the same bytes. A letter the font does not hold is replaced, and a note at the end
    says so: see `letters`.
    """
    with ONE_AT_A_TIME:
        writer = _Writer(SHEETS[size][0] - 2 * EDGE)
        story = [*writer.front(title, subtitle, shop_name), *writer.all_of(blocks)]
        running = " \u00b7 ".join(writer.letters.write(words) for words in (shop_name, title) if words)
        written_foot = writer.letters.write(foot)
        if writer.letters.replaced:
            story += writer.of(Note(f"Some letters are shown plainer here, or as {STAND_IN}; the lists hold them all."))
        return _printed(story, title, SHEETS[size], running, written_foot)


def _printed(story: list[Any], title: str, sheet: tuple[float, float], running: str, foot: str) -> bytes:
    body = BytesIO()
    laid_out = SimpleDocTemplate(
        body,
        pagesize=sheet,
        leftMargin=EDGE - 6,
        rightMargin=EDGE - 6,
        topMargin=HEAD_ROOM - 6,
        bottomMargin=FOOT_ROOM - 6,
        title=title,
        author="",
        subject="",
        creator="Tackcloth",
        producer="Tackcloth",
        lang="en",
        invariant=1,
    )

    def canvas(*args: Any, **kwargs: Any) -> "_NumberedCanvas":
        return _NumberedCanvas(*args, running=running, foot=foot, **kwargs)

    laid_out.build(story, canvasmaker=canvas)
    return body.getvalue()


class _NumberedCanvas(Canvas):
    """Holds every page back until it is known how many there are, then writes head and foot on each."""

    def __init__(self, *args: Any, running: str, foot: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._running, self._foot, self._held = running, foot, list[dict[str, Any]]()

    def showPage(self) -> None:  # noqa: N802 - the name reportlab calls
        """Keep the page for later."""
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Write all pages, each with its number."""
        for number, page in enumerate(self._held, start=1):
            self.__dict__.update(page)
            self._head_and_foot(number, len(self._held))
            super().showPage()
        super().save()

    def _head_and_foot(self, number: int, count: int) -> None:
        width, height = self._pagesize
        self.setFillColor(SOFT)
        self.setFont(PLAIN, 7.5)
        if number > 1:
            self.drawString(EDGE, height - 36, cut(self._running, PLAIN, 7.5, width - 2 * EDGE))
        paging = f"Page {number} of {count}"
        self.drawRightString(width - EDGE, 30, paging)
        self.drawString(EDGE, 30, cut(self._foot, PLAIN, 7.5, width - 2 * EDGE - 80))


class _Writer:
    """Turns blocks into what reportlab flows over the pages."""

    def __init__(self, room: float) -> None:
        self.room = room
        self.letters = Letters()

    def front(self, title: str, subtitle: str, shop_name: str) -> list[Flowable]:
        """The head of the first page."""
        lines = [(shop_name, _style(9, color=SOFT)), (title, _style(18, BOLD)), (subtitle, _style(9.5, color=SOFT))]
        return [*(self._words(words, style) for words, style in lines if words), Spacer(0, 6)]

    def all_of(self, blocks: Iterable[Block]) -> list[Flowable]:
        """Every block in its order."""
        return [flowable for block in blocks for flowable in self.of(block)]

    def of(self, block: Block) -> list[Flowable]:
        """One block."""
        if isinstance(block, Heading):
            return [CondPageBreak(96), Spacer(0, 14), self._words(block.text, _style(12.5, BOLD)), Spacer(0, 4)]
        if isinstance(block, Note):
            return [Spacer(0, 3), self._words(block.text, _style(8, color=SOFT)), Spacer(0, 3)]
        if isinstance(block, NewPage):
            return [PageBreak()]
        return [self._ladder(block)] if isinstance(block, Ladder) else [self._table(block)]

    def _words(self, text: str, style: ParagraphStyle) -> Paragraph:
        return Paragraph(escape(self.letters.write(text), quote=False), style)

    def _ladder(self, ladder: Ladder) -> LongTable:
        room = min(self.room, LADDER_WIDTH)
        amounts = [self.letters.write(rung.amount) for rung in ladder.rungs]
        wide = max((width_of(amount, BOLD, 10) for amount in amounts), default=0) + GUTTER
        cells = [[self._rung_words(rung), amount] for rung, amount in zip(ladder.rungs, amounts, strict=True)] or [
            ["", ""]
        ]
        styles = [*_BASE, *(line for row, rung in enumerate(ladder.rungs) for line in _rung_lines(row, rung.kind))]
        return LongTable(cells, colWidths=[room - wide, wide], style=styles, hAlign="LEFT", splitInRow=1)

    def _rung_words(self, rung: Rung) -> Paragraph:
        bold = rung.kind is not RungKind.LINE
        words = escape(self.letters.write(rung.label), quote=False)
        if rung.note:
            words += f'<br/><font size="7" color="#5d5142">{escape(self.letters.write(rung.note), quote=False)}</font>'
        return Paragraph(words, _style(9.5 if bold else 9, BOLD if bold else PLAIN))

    def _table(self, table: Table) -> LongTable:
        rows = [[self.letters.write(column.label) for column in table.columns]]
        rows += [[self.letters.write(cell) for cell in row] for row in table.rows]
        rows += [[self.letters.write(cell) for cell in table.foot]] if table.foot is not None else []
        numbers = [column.is_number for column in table.columns]
        size, widths = self._fitted(rows, numbers)
        cells = list(self._cells(rows, numbers, widths, size, has_foot=table.foot is not None))
        styles = [*_BASE, *_TABLE, ("FONTSIZE", (0, 0), (-1, -1), size), ("LEADING", (0, 0), (-1, -1), size * 1.25)]
        styles += [("ALIGN", (place, 0), (place, -1), "RIGHT") for place, number in enumerate(numbers) if number]
        styles.append(("RIGHTPADDING", (0, 0), (-2, -1), _gutter(size)))
        styles += _FOOT if table.foot is not None else []
        return LongTable(cells, colWidths=widths, style=styles, repeatRows=1, hAlign="LEFT", splitInRow=1)

    def _fitted(self, rows: Sequence[Sequence[str]], numbers: Sequence[bool]) -> tuple[float, list[float]]:
        """The largest letters at which the numbers leave the words a fair part of the sheet, and all widths."""
        columns = list(zip(*rows, strict=True))
        whole = [_needed(cells, TEXT_SIZE) for cells in columns]
        if sum(whole) <= self.room:
            return TEXT_SIZE, column_widths(whole, numbers, self.room)
        size = TEXT_SIZE
        while True:
            natural = [_needed(cells, size, is_number=number) for cells, number in zip(columns, numbers, strict=True)]
            fixed = sum(wide for wide, number in zip(natural, numbers, strict=True) if number)
            if size <= SMALLEST or fixed <= self.room * NUMBERS_AT_MOST or sum(natural) <= self.room:
                return size, column_widths(natural, numbers, self.room)
            size -= 0.5

    def _cells(
        self,
        rows: Sequence[Sequence[str]],
        numbers: Sequence[bool],
        widths: Sequence[float],
        size: float,
        *,
        has_foot: bool,
    ) -> Iterator[list[Any]]:
        for place, row in enumerate(rows):
            bold = place == 0 or (has_foot and place == len(rows) - 1)
            font, color = (BOLD if bold else PLAIN), (SOFT if place == 0 else INK)
            yield [
                self._cell(text, font, size, wide, color, is_number=number)
                for text, wide, number in zip(row, widths, numbers, strict=True)
            ]

    def _cell(self, text: str, font: str, size: float, wide: float, color: Any, *, is_number: bool) -> Any:
        """Words that fit stay words; the others are broken over lines."""
        if width_of(text, font, size) <= wide - _gutter(size) + 0.1:
            return text
        style = _style(size, font, color=color, alignment=2 if is_number else 0)
        return Paragraph(escape(text, quote=False), style)


def _needed(cells: Sequence[str], size: float, *, is_number: bool = False) -> float:
    """The width a column would like; the header of numbers may be broken between its words."""
    header, *rows = cells
    heads = header.split() if is_number else [header]
    # The last row may be one of sums, in heavier letters.
    heavy, plain = [*heads, *rows[-1:]], rows[:-1]
    wide = [width_of(cell, BOLD, size) for cell in heavy] + [width_of(cell, PLAIN, size) for cell in plain]
    return max(wide, default=0.0) + _gutter(size)


def _gutter(size: float) -> float:
    """The white to the right of a column; it shrinks with the letters."""
    return GUTTER * size / TEXT_SIZE


def _style(size: float, font: str = PLAIN, *, color: Any = INK, alignment: int = 0) -> ParagraphStyle:
    return ParagraphStyle(
        f"{font} {size}", fontName=font, fontSize=size, leading=size * 1.25, textColor=color, alignment=alignment
    )


def _rung_lines(row: int, kind: RungKind) -> list[tuple[Any, ...]]:
    here = ((0, row), (-1, row))
    if kind is RungKind.LINE:
        return [("LINEBELOW", *here, 0.4, HAIR), ("FONTSIZE", *here, 9)]
    lines: list[tuple[Any, ...]] = [("FONTNAME", *here, BOLD), ("FONTSIZE", *here, 9.5), ("LINEABOVE", *here, 0.8, INK)]
    if kind is RungKind.TOTAL:
        lines += [("LINEBELOW", *here, 0.8, INK, 0, None, None, 2, 1.6)]
    return lines


_BASE: Final[list[tuple[Any, ...]]] = [
    ("FONTNAME", (0, 0), (-1, -1), PLAIN),
    ("TEXTCOLOR", (0, 0), (-1, -1), INK),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("ALIGN", (-1, 0), (-1, -1), "RIGHT"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 2.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
]
_TABLE: Final[list[tuple[Any, ...]]] = [
    ("ALIGN", (0, 0), (-1, -1), "LEFT"),
    ("FONTNAME", (0, 0), (-1, 0), BOLD),
    ("TEXTCOLOR", (0, 0), (-1, 0), SOFT),
    ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
    ("LINEBELOW", (0, 0), (-1, 0), 1.0, INK),
    ("LINEBELOW", (0, 1), (-1, -1), 0.4, HAIR),
]
_FOOT: Final[list[tuple[Any, ...]]] = [
    ("FONTNAME", (0, -1), (-1, -1), BOLD),
    ("LINEABOVE", (0, -1), (-1, -1), 0.8, INK, 0, None, None, 2, 1.6),
    ("NOSPLIT", (0, -2), (-1, -1)),
]
