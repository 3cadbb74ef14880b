"""The number and the reference of a capture: made on the phone, known here for ever."""

import re
from collections.abc import Callable
from typing import Final

from app.basics.errors import RuleError
from app.pocket.rules.kinds import CaptureKind

SYMBOLS: Final = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""What a reference is written with: thirty-two symbols without 0, O, 1 and I."""

SHORTEST: Final = 4
LONGEST: Final = 8
_BITS: Final = 5
_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_OF_A_FIND = re.compile(rf"F-?([{SYMBOLS}]{{{SHORTEST},{LONGEST}}})")


class NoCaptureId(RuleError):
    """The number under which a capture came is no UUID of version 4 in small letters."""

    def __init__(self) -> None:
        """Say what a number must be."""
        super().__init__("The number of a capture is a UUID of version 4, in small letters.")


def require_id(capture_id: str) -> None:
    """Refuse a number that no phone makes (NoCaptureId)."""
    if not _ID.fullmatch(capture_id):
        raise NoCaptureId


def reference_of(capture_id: str, kind: CaptureKind, is_taken: Callable[[str], bool] = lambda _reference: False) -> str:
    """What the owner writes on tape: a letter by kind and four symbols, five bits of the id each; longer on a clash.

    Of eight symbols the first forty bits of the id are used up: a clash beyond them stands. Refuses a wrong id.
    """
    require_id(capture_id)
    bits = f"{int(capture_id.replace('-', '')[: LONGEST * _BITS // 4], 16):0{LONGEST * _BITS}b}"
    symbols = "".join(SYMBOLS[int(bits[at : at + _BITS], 2)] for at in range(0, len(bits), _BITS))
    lengths = (f"{kind.value[0].upper()}-{symbols[:length]}" for length in range(SHORTEST, LONGEST + 1))
    return next((reference for reference in lengths if not is_taken(reference)), f"{kind.value[0].upper()}-{symbols}")


def is_reference_of(reference: str, capture_id: str, kind: CaptureKind) -> bool:
    """Whether a reference belongs to this capture, short or made longer on a clash."""
    longest = reference_of(capture_id, kind, lambda _reference: True)
    return len(reference) >= len(longest) - LONGEST + SHORTEST and longest.startswith(reference)


def find_meant(words: str) -> str | None:
    """The reference of a find that the words are, whatever their capitals, blanks and hyphen; else None."""
    match = _OF_A_FIND.fullmatch("".join(words.split()).upper())
    return f"F-{match[1]}" if match else None
