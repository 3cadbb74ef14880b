"""What a caution says, and the one that goes with old paint."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from app.pieces.rules.kinds import Age

REFERENCE_READ_ON: Final = date(2026, 11, 26)
"""The day on which the sources of the cautions were read; laws change after it."""


@dataclass(frozen=True)
class Caution:
    """Something that can hurt somebody: `words` say what to do, `defer` who decides, `source` what it rests on.

    `checked_on` is the day the source was read. What is not confirmed is advice and claims no law.
    """

    key: str
    title: str
    words: str
    defer: str
    source: str
    is_confirmed: bool = True
    checked_on: date = REFERENCE_READ_ON


LEAD: Final = Caution(
    "lead",
    "Old paint may hold lead: test it first",
    "Paint on a piece made before 1978, or of unknown age, may hold lead, and old varnish can too. Test it before you"
    " sand, scrape or heat it. A surface test kit does not prove it free of lead; a laboratory does. Do not dry-sand a"
    " piece that tests positive.",
    "Your local health department or an accredited laboratory decides what is safe.",
    "42 FR 41192: the US ban on lead paint, in effect since 28 February 1978",
)


def lead_cautions(age: str | None) -> tuple[Caution, ...]:
    """The caution on old paint, unless the piece is known to be younger; `age` is an `Age` as it may be typed."""
    return () if age == Age.AFTER_1978 else (LEAD,)
