"""Which pieces a list shows, and in what order."""

from dataclasses import dataclass, replace
from enum import StrEnum

from app.pieces.rules.kinds import Form, Stage


class PieceSort(StrEnum):
    """In what order pieces are listed."""

    NEWEST = "newest"
    OLDEST = "oldest"
    NAME = "name"
    STAGE_SINCE = "stage_since"


class Whereabouts(StrEnum):
    """Whether a piece is still in the shop's hands; the ways of leaving are those of `Leaving`.

    Pieces struck out as logged by mistake show only when they are asked for.
    """

    ON_HAND = "on_hand"
    LEFT = "left"
    KEPT = "kept"
    GIVEN_AWAY = "given_away"
    SCRAPPED = "scrapped"
    STRUCK = "struck"


@dataclass(frozen=True)
class PieceChoice:
    """Which pieces are wanted; what is None or empty narrows nothing down."""

    words: str = ""
    stage: Stage | None = None
    form: Form | None = None
    source_id: int | None = None
    whereabouts: Whereabouts | None = None
    sort: PieceSort = PieceSort.NEWEST

    @property
    def is_narrow(self) -> bool:
        """Whether anything narrows the list down; the order does not."""
        return self != replace(PieceChoice(), sort=self.sort)

    @property
    def is_arranged(self) -> bool:
        """Whether anything but words to search narrows the list down or puts it in another order."""
        return self != PieceChoice(words=self.words)
