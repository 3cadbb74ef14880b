"""Typed words: cleaned before they are kept, folded before they are searched."""

import unicodedata
from typing import Final

from app.basics.errors import RuleError

NAME_LIMIT: Final = 80
TITLE_LIMIT: Final = 120
LINE_LIMIT: Final = 200
REASON_LIMIT: Final = 300
NOTE_LIMIT: Final = 4000

# Overrides, embeddings and isolates can make a line read in another order than it is stored; the rest are
# invisible and would make two equal-looking names differ. Right-to-left letters need none of them, and the
# joiners that emoji and some scripts are written with stay.
_UNWANTED: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200b\u2060\ufeff\u00ad")
_LINE_ENDS: Final = str.maketrans(dict.fromkeys("\r\v\f\x85\u2028\u2029", "\n"))
_INVISIBLE_CATEGORIES: Final = frozenset({"Cf", "Zs"})

# Letters that carry a stroke or are joined have no accent to take off; typographic marks come from phones.
_PLAIN_LETTERS: Final = str.maketrans(
    {
        "ø": "o",
        "ł": "l",
        "đ": "d",
        "ħ": "h",
        "\N{LATIN SMALL LETTER DOTLESS I}": "i",
        "æ": "ae",
        "œ": "oe",
        "þ": "th",
        "ð": "d",
    }
    | {
        "\u2018": "'",
        "\u2019": "'",
        "\u201c": '"',
        "\u201d": '"',
        "\u2013": "-",
        "\u2014": "-",
        "\u00d7": "x",
    }
)


def clean_line(text: str, limit: int) -> str:
    """Words for one line: composed, trimmed, every run of blanks one space, nothing that hides or reorders.

    Refuses more than `limit` characters (RuleError).
    """
    kept = "".join(mark for mark in text.translate(_LINE_ENDS) if mark.isspace() or not _is_unwanted(mark))
    return _within(limit, _visible(" ".join(kept.split())))


def clean_text(text: str, limit: int) -> str:
    """Words for a note: as `clean_line`, but its line ends stay, each a single newline, and inner spaces too.

    Refuses more than `limit` characters (RuleError).
    """
    with_newlines = text.replace("\r\n", "\n").translate(_LINE_ENDS).replace("\t", " ")
    kept = "".join(mark for mark in with_newlines if mark == "\n" or not _is_unwanted(mark))
    return _within(limit, _visible("\n".join(line.rstrip() for line in kept.split("\n")).strip()))


def _is_unwanted(mark: str) -> bool:
    # A lone surrogate (Cs) is no character at all and could not be written to a file.
    return mark in _UNWANTED or unicodedata.category(mark) in {"Cc", "Cs"}


def _visible(text: str) -> str:
    composed = unicodedata.normalize("NFC", text)
    seen = any(unicodedata.category(mark) not in _INVISIBLE_CATEGORIES for mark in composed if mark != "\n")
    return composed if seen else ""


def _within(limit: int, text: str) -> str:
    if len(text) > limit:
        raise RuleError(f"This is {len(text):,} characters long. Keep it to {limit:,} at most.")
    return text


def fold(text: str) -> str:
    """Words as they are searched: without case, accents or typographic marks, so "commo" finds "Cómmode"."""
    opened = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    bare = "".join(mark for mark in opened if unicodedata.category(mark) != "Mn")
    return " ".join(bare.translate(_PLAIN_LETTERS).split())
