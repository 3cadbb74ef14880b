"""The letters a paper report can show, and what stands in for those it cannot.

The font comes with reportlab: small, free, with figures of one width, and with the letters of western Europe. A
letter with an accent it does not hold is written without the accent; any other is written as a lozenge, and the
report says so at its end. The lists keep every letter as it is.
"""

import unicodedata
from functools import lru_cache
from threading import Lock
from typing import Final

from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN: Final = "Vera"
BOLD: Final = "VeraBd"
STAND_IN: Final = "\u25ca"
"""What is written for a letter the font does not hold."""

# Fonts keep a little state of their own while a document is written, so one is written at a time.
ONE_AT_A_TIME: Final = Lock()

_ALIKE: Final = str.maketrans(
    {"\u2011": "-", "\u2010": "-", "\u2212": "\u2212", "\u00ad": "", "\u200b": "", "\ufeff": ""}
    | dict.fromkeys("\t\n\v\f\r\u0085\u2028\u2029\u2009\u202f\u2007", " ")
)


@lru_cache(maxsize=1)
def ready_fonts() -> frozenset[int]:
    """Make the fonts known to reportlab, once; the code points both hold."""
    held = []
    for name in (PLAIN, BOLD):
        font = TTFont(name, f"{name}.ttf")
        pdfmetrics.registerFont(font)
        held.append({code for code in font.face.charToGlyph if code >= ord(" ")})
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
    return frozenset(held[0] & held[1]) - {0xFFFF}


class Letters:
    """Writes text in letters the font holds, and remembers whether any had to be replaced."""

    def __init__(self) -> None:
        self._held = ready_fonts()
        self.replaced = 0

    def write(self, text: str) -> str:
        """The text on one line, with every letter the font does not hold replaced."""
        whole = unicodedata.normalize("NFC", text.translate(_ALIKE))
        return "".join(letter if ord(letter) in self._held else self._stand_in(letter) for letter in whole)

    def _stand_in(self, letter: str) -> str:
        self.replaced += 1
        if unicodedata.category(letter).startswith("M") or letter == "\u200d":
            return ""
        bare = "".join(part for part in unicodedata.normalize("NFKD", letter) if ord(part) in self._held)
        return bare or STAND_IN


def width_of(text: str, font: str, size: float) -> float:
    """How wide a text is in points."""
    wide: float = pdfmetrics.stringWidth(text, font, size)
    return wide


def cut(text: str, font: str, size: float, room: float) -> str:
    """A text on one line, cut with an ellipsis where it is wider than `room` points."""
    if width_of(text, font, size) <= room:
        return text
    while text and width_of(f"{text}\u2026", font, size) > room:
        text = text[:-1]
    return f"{text.rstrip()}\u2026"


def broken(text: str, font: str, size: float, room: float, most: int) -> list[str]:
    """A text over at most so many lines of `room` points, broken between words; what does not fit is cut."""
    lines: list[str] = simpleSplit(text, font, size, room)
    kept = lines[:most]
    if len(lines) > most and kept:
        kept[-1] = f"{kept[-1]} {lines[most]}"
    return [cut(line, font, size, room) for line in kept]
