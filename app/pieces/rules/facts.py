"""What is known of a piece: cleaned and checked, compared, and put into words."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.basics.quantities import LONGEST_MM, SHORTEST_MM, Units, format_length
from app.basics.words import LINE_LIMIT, NOTE_LIMIT, TITLE_LIMIT, clean_line, clean_text, fold
from app.pieces.rules.kinds import AGE_WORDS, CONDITION_WORDS, FORM_WORDS, Age, Condition, Form, shown_name

MOST_IN_A_SET: Final = 999
OLDEST_YEAR: Final = 1500
LEAD_BAN_YEAR: Final = 1978
_COLOUR: Final = re.compile(r"#[0-9a-f]{6}")

FACT_LABELS: Mapping[str, str] = MappingProxyType(
    {
        "form": "Form",
        "title": "Name",
        "count": "How many",
        "width_mm": "Width",
        "depth_mm": "Depth",
        "height_mm": "Height",
        "condition": "Condition",
        "materials": "Made of",
        "age": "Made",
        "year": "Year",
        "notes": "Notes",
        "finish_colour": "Finish colour",
        "finish_words": "Finish",
    }
)


@dataclass(frozen=True)
class Facts:
    """What is known of a piece; lengths in millimetres, the finish colour as #rrggbb."""

    form: Form
    title: str = ""
    count: int = 1
    width_mm: int | None = None
    depth_mm: int | None = None
    height_mm: int | None = None
    condition: Condition | None = None
    materials: str = ""
    age: Age = Age.UNKNOWN
    year: int | None = None
    notes: str = ""
    finish_colour: str | None = None
    finish_words: str = ""

    @property
    def name(self) -> str:
        """What the piece is called."""
        return shown_name(self.title, self.form)


def facts_of(known: object) -> Facts:
    """The facts of anything that carries each of them under its own name, such as a stored or a shown piece."""
    return Facts(**{fact: getattr(known, fact) for fact in FACT_LABELS})


@dataclass(frozen=True)
class ChangedFact:
    """One fact that says something else now, in words."""

    label: str
    was: str
    became: str


def line_of(text: str, limit: int, field: str) -> str:
    """One line of words as it is kept; refuses, at `field`, more than `limit` characters."""
    try:
        return clean_line(text, limit)
    except RuleError as refusal:
        raise RuleError(refusal.message, field) from refusal


def colour_of(colour: str | None, field: str) -> str | None:
    """A colour as it is kept, #rrggbb in small letters, None for none; refuses, at `field`, what is no colour."""
    if not colour:
        return None
    kept = colour.lower()
    if not _COLOUR.fullmatch(kept):
        raise RuleError("Choose the colour from the box; it is kept like #7a8f6a.", field)
    return kept


def sound_facts(facts: Facts, this_year: int) -> Facts:
    """The facts as they are kept: words cleaned, colour in small letters.

    Refuses, at the fact's own name, words too long, a count outside 1 to 999, a length nothing has, a year
    that has not come, a year that contradicts the age, and what is no colour.
    """
    _require_numbers(facts, this_year)
    colour = colour_of(facts.finish_colour, "finish_colour")
    try:
        notes = clean_text(facts.notes, NOTE_LIMIT)
    except RuleError as refusal:
        raise RuleError(refusal.message, "notes") from refusal
    return replace(
        facts,
        title=line_of(facts.title, TITLE_LIMIT, "title"),
        materials=line_of(facts.materials, LINE_LIMIT, "materials"),
        notes=notes,
        finish_colour=colour,
        finish_words=line_of(facts.finish_words, LINE_LIMIT, "finish_words"),
    )


def _require_numbers(facts: Facts, this_year: int) -> None:
    if not 1 <= facts.count <= MOST_IN_A_SET:
        raise RuleError(f"A piece is one thing, or a set of up to {MOST_IN_A_SET}.", "count")
    for side in ("width_mm", "depth_mm", "height_mm"):
        mm: int | None = getattr(facts, side)
        if mm is not None and not SHORTEST_MM <= mm <= LONGEST_MM:
            raise RuleError("A side is more than nothing and at most 20 metres.", side)
    if facts.year is None:
        return
    if not OLDEST_YEAR <= facts.year <= this_year:
        raise RuleError(f"Give a year from {OLDEST_YEAR} to {this_year}.", "year")
    # The lead caution hangs on the age, so the two may not tell different stories; 1978 itself fits both.
    if facts.age is Age.AFTER_1978 and facts.year < LEAD_BAN_YEAR:
        raise RuleError(f"{facts.year} is before 1978. Put the year or the age right.", "year")
    if facts.age is Age.BEFORE_1978 and facts.year > LEAD_BAN_YEAR:
        raise RuleError(f"{facts.year} is after 1978. Put the year or the age right.", "year")


def fact_in_words(facts: Facts, name: str, units: Units) -> str:
    """One fact as people read it; nothing known is an empty string."""
    value = getattr(facts, name)
    if value is None:
        return ""
    if name == "form":
        return FORM_WORDS[facts.form]
    if name == "condition" and facts.condition is not None:
        return f"{facts.condition}, {CONDITION_WORDS[facts.condition]}"
    if name == "age":
        return AGE_WORDS[facts.age]
    if name.endswith("_mm"):
        return format_length(value, units)
    return str(value)


def facts_in_words(facts: Facts, units: Units) -> dict[str, str]:
    """Every fact by its label."""
    return {label: fact_in_words(facts, name, units) for name, label in FACT_LABELS.items()}


def changed_facts(was: Facts, became: Facts, units: Units) -> list[ChangedFact]:
    """The facts that differ, each with its words before and after."""
    return [
        ChangedFact(label, fact_in_words(was, name, units), fact_in_words(became, name, units))
        for name, label in FACT_LABELS.items()
        if getattr(was, name) != getattr(became, name)
    ]


def folded_words(facts: Facts, *, tag: str, next_note: str = "") -> str:
    """All words of a piece as they are searched, its name first so that they sort by it too."""
    words = (
        facts.name,
        tag,
        FORM_WORDS[facts.form],
        facts.materials,
        facts.finish_words,
        next_note,
        facts.notes,
    )
    return fold(" ".join(word for word in words if word))


def part_colours_kept(colours: Mapping[str, str]) -> str:
    """Colours of single parts as one line of words, like "drawers #7a8f6a, top #ffffff"."""
    return ", ".join(f"{part} {colour}" for part, colour in sorted(colours.items()))


def part_colours_of(kept: str) -> dict[str, str]:
    """The colours of single parts by part, out of the line they are kept in."""
    pairs = (each.rpartition(" ") for each in kept.split(", ") if each)
    return {part: colour for part, _, colour in pairs}
