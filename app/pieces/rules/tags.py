"""Tag numbers: short, spoken and written without mistakes, and saying nothing."""

from collections.abc import Callable, Sequence

# Read aloud and written on tape: no characters that look alike (0 O, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V)
# and no vowels, so that no tag spells a word.
TAG_DIGITS = "34679"
TAG_LETTERS = "CDFHJKMNPRTWX"
SHORT_TAG = 3
LONG_TAG = 4
# Beyond this many tags a three-character one is hard to draw fresh; four take over.
MOST_SHORT_TAGS = 1700


def is_fit_tag(tag: str) -> bool:
    """Whether a drawn tag may be used: only tag characters, at least one digit and one letter."""
    return (
        len(tag) in {SHORT_TAG, LONG_TAG}
        and set(tag) <= set(TAG_DIGITS + TAG_LETTERS)
        and bool(set(tag) & set(TAG_DIGITS))
        and bool(set(tag) & set(TAG_LETTERS))
    )


def draw_tag(pick: Callable[[Sequence[str]], str], is_taken: Callable[[str], bool], tags_so_far: int) -> str:
    """A fresh tag number drawn by `pick` (such as `secrets.choice`); it encodes nothing.

    Three characters until about half of them are used, then four.
    """
    length = SHORT_TAG if tags_so_far < MOST_SHORT_TAGS else LONG_TAG
    characters = TAG_DIGITS + TAG_LETTERS
    while True:
        tag = "".join(pick(characters) for _ in range(length))
        if is_fit_tag(tag) and not is_taken(tag):
            return tag
