"""What a passphrase must be."""

import unicodedata
from collections.abc import Iterable
from typing import Final

from app.basics.errors import RuleError
from app.basics.words import fold

SHORTEST: Final = 15
LONGEST: Final = 256

_OWN_WORDS_NEEDED: Final = 6
_SHORTEST_RUN: Final = 4
_RUNS: Final = (
    "qwertyuiop",
    "asdfghjkl",
    "zxcvbnm",
    "qwertzuiop",
    "yxcvbnm",
    "azertyuiop",
    "qsdfghjklm",
    "1234567890",
    "01234567890",
    "abcdefghijklmnopqrstuvwxyz",
    "1qaz2wsx3edc4rfv5tgb6yhn7ujm",
)
_TRIED_FIRST: Final = (
    "tackcloth",
    "password",
    "passphrase",
    "letmein",
    "welcome",
    "administrator",
    "admin",
    "secret",
    "iloveyou",
    "changeme",
    "furniture",
    "workshop",
)


class WrongPassphrase(RuleError):
    """What was typed is not the passphrase."""


def normalised(typed: str) -> str:
    """A passphrase as it is hashed: the same letters from any keyboard are the same passphrase."""
    return unicodedata.normalize("NFKC", typed)


def require_good_passphrase(typed: str, shop_name: str = "") -> None:
    """Refuse, at the field `passphrase`, one that is too short, too long or among the first to be guessed.

    15 to 256 characters of any kind; nothing is asked about their mixture (RuleError).
    """
    passphrase = normalised(typed)
    if len(passphrase) < SHORTEST:
        raise RuleError(
            f"Use {SHORTEST} characters or more. Four or five unrelated words do it, spaces included.", "passphrase"
        )
    if len(passphrase) > LONGEST:
        raise RuleError(f"Use {LONGEST} characters at most.", "passphrase")
    if _is_among_the_first_guesses(passphrase, shop_name):
        raise RuleError(
            "That one would be guessed early: it is mostly the shop's name, a usual word, a run of keys or the"
            " same thing over again. Use four or five unrelated words.",
            "passphrase",
        )


def _is_among_the_first_guesses(passphrase: str, shop_name: str) -> bool:
    letters = _letters(passphrase)
    if letters and letters in (letters + letters)[1:-1]:
        return True
    known = {_letters(shop_name), *(_letters(word) for word in shop_name.split()), *_TRIED_FIRST}
    return _own_part(letters or passphrase, known) < _OWN_WORDS_NEEDED


def _letters(text: str) -> str:
    return "".join(mark for mark in fold(text) if mark.isalnum())


def _own_part(letters: str, known: Iterable[str]) -> int:
    """How many characters are left when known words, runs of keys and repeats are taken out."""
    longest_first = sorted((word for word in known if len(word) >= _SHORTEST_RUN), key=len, reverse=True)
    place = own = 0
    while place < len(letters):
        rest = letters[place:]
        word = next((word for word in longest_first if rest.startswith(word)), "")
        step = max(len(word), _length_of_run(rest), _length_of_repeat(rest))
        own += step == 1
        place += step
    return own


def _length_of_run(rest: str) -> int:
    longest = 1
    for row in _RUNS:
        for run in (row, row[::-1]):
            length = _SHORTEST_RUN
            while length <= len(rest) and rest[:length] in run:
                longest = max(longest, length)
                length += 1
    return longest


def _length_of_repeat(rest: str) -> int:
    length = len(rest) - len(rest.lstrip(rest[0]))
    return length if length >= _SHORTEST_RUN - 1 else 1
