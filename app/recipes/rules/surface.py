"""What a piece has on it when the work begins: the old finish, the wood under it, and what may go wrong with both."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.basics.words import fold
from app.pieces.rules import Age, is_lead_possible


class OldFinish(StrEnum):
    """What is on it."""

    UNKNOWN = "unknown"
    BARE = "bare"
    PAINT = "paint"
    CLEAR = "clear"
    OIL = "oil"
    WAX = "wax"


class LeadTest(StrEnum):
    """What a test for lead said."""

    NONE = "none"
    NEGATIVE = "negative"
    POSITIVE = "positive"


OLD_FINISH_WORDS: Mapping[OldFinish, str] = MappingProxyType(
    {
        OldFinish.UNKNOWN: "Not known",
        OldFinish.BARE: "Bare wood",
        OldFinish.PAINT: "Paint",
        OldFinish.CLEAR: "Varnish, lacquer or shellac",
        OldFinish.OIL: "Oil",
        OldFinish.WAX: "Wax",
    }
)

LEAD_TEST_WORDS: Mapping[LeadTest, str] = MappingProxyType(
    {LeadTest.NONE: "Not tested", LeadTest.NEGATIVE: "Tested: none found", LeadTest.POSITIVE: "Tested: lead found"}
)

SEEN_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "is_glossy": "It is glossy",
        "is_stained": "It was stained",
        "has_knots": "Knots",
        "has_water_marks": "Water marks",
        "has_odour": "It smells: smoke, mildew, pets",
        "has_polish": "Silicone polish was used on it",
        "has_live_insects": "Live insects: fresh pale powder at the holes",
        "is_damp": "Damp",
    }
)
"""What can be seen or smelt on it, by the name of the fact in `Surface`."""

TANNIN_WOODS: Final = ("oak", "cedar", "redwood", "mahogany", "cherry", "walnut")
"""Woods whose tannin bleeds through light waterborne paint: oak, cedar and redwood by the USDA Wood Handbook, chapter
16; mahogany, cherry and walnut by common practice."""
KNOTTY_WOODS: Final = ("pine", "spruce", "fir")


@dataclass(frozen=True)
class Surface:
    """What is known of a piece before it is finished; `woods` are the owner's words for what it is made of."""

    old_finish: OldFinish = OldFinish.UNKNOWN
    is_glossy: bool = False
    is_stained: bool = False
    has_knots: bool = False
    has_water_marks: bool = False
    has_odour: bool = False
    has_polish: bool = False
    has_live_insects: bool = False
    is_damp: bool = False
    lead_test: LeadTest = LeadTest.NONE
    age: Age = Age.UNKNOWN
    woods: str = ""
    note: str = ""

    @property
    def seen(self) -> tuple[str, ...]:
        """The names of the facts in SEEN_WORDS that hold."""
        return tuple(name for name in SEEN_WORDS if getattr(self, name))

    @property
    def is_lead_untested(self) -> bool:
        """Whether what is on it may hold lead, by its age, and no test has said yet."""
        is_untested = self.lead_test is LeadTest.NONE and self.old_finish is not OldFinish.BARE
        return is_untested and is_lead_possible(self.age)

    @property
    def was_painted(self) -> bool | None:
        """Whether it had paint on it when it came; None where nobody looked or could tell."""
        return None if self.old_finish is OldFinish.UNKNOWN else self.old_finish is OldFinish.PAINT

    @property
    def is_tannin_wood(self) -> bool:
        """Whether it is said to be made of a wood rich in tannin."""
        return not set(TANNIN_WOODS).isdisjoint(self._words)

    @property
    def is_knotty_wood(self) -> bool:
        """Whether it is said to be made of a wood that is seldom free of knots."""
        return not set(KNOTTY_WOODS).isdisjoint(self._words)

    @property
    def bleeds(self) -> bool:
        """Whether its wood may stain light waterborne paint: a wood rich in tannin, or an old stain."""
        return self.is_stained or self.is_tannin_wood

    @property
    def _words(self) -> list[str]:
        return re.findall(r"\w+", fold(self.woods))


NOT_LOOKED_OVER: Final = Surface()
"""What is known of a piece that nobody looked over: nothing."""
