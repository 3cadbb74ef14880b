"""How long pieces take to sell, from few sales and with the unsold named, and which have sat too long."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from app.reports.rules.ledger import PieceLedger, SaleRow
from app.reports.rules.ownership import gone_by

ENOUGH_SALES: Final = 3
"""Below this many sales a median says nothing yet."""

UNSOLD_NOTE: Final = (
    "The median counts only what has sold. What is still unsold is not in it, and as the slow pieces are the "
    "ones still here, the true time is longer than it says."
)


@dataclass(frozen=True, slots=True)
class PieceDays:
    """One piece and its days: until it sold, or so far."""

    piece_id: int
    tag: str
    title: str
    days: int


@dataclass(frozen=True, slots=True)
class Spread:
    """Days of the pieces that sold (quickest first) and of those still unsold (longest first).

    The unsold are in no figure here; that bias is what UNSOLD_NOTE says, and why they are named.
    """

    sold: tuple[PieceDays, ...]
    unsold: tuple[PieceDays, ...]

    @property
    def sold_count(self) -> int:
        """How many pieces the median and the range come from."""
        return len(self.sold)

    @property
    def unsold_count(self) -> int:
        """How many pieces are in no figure because they are still here."""
        return len(self.unsold)

    @property
    def not_enough_yet(self) -> bool:
        """Whether too few have sold for the median to mean anything."""
        return self.sold_count < ENOUGH_SALES

    @property
    def median(self) -> Fraction | None:
        """The middle of the sold, exactly: of an even count the mean of the two middle ones; None of none."""
        if not self.sold:
            return None
        low, high = (self.sold_count - 1) // 2, self.sold_count // 2
        return Fraction(self.sold[low].days + self.sold[high].days, 2)

    @property
    def shortest(self) -> int | None:
        """Days of the piece that sold quickest."""
        return self.sold[0].days if self.sold else None

    @property
    def longest(self) -> int | None:
        """Days of the piece that took longest to sell."""
        return self.sold[-1].days if self.sold else None


@dataclass(frozen=True, slots=True)
class DaysToSale:
    """Days from sourcing to sale and from first listing to sale."""

    from_sourced: Spread
    from_listed: Spread


@dataclass(frozen=True, slots=True)
class ListedPiece:
    """A piece that is for sale now, since `listed_on`, at `asking_cents`."""

    tag: str
    title: str
    listed_on: date
    asking_cents: int


@dataclass(frozen=True, slots=True)
class SittingPiece:
    """A piece for sale and the days it has been so."""

    piece: ListedPiece
    days: int


def days_to_sale(ledgers: Iterable[PieceLedger], today: date) -> DaysToSale:
    """How long pieces took to sell as the ledger stands at the end of `today`.

    A piece whose sale came back is unsold again; one that was kept, given away or scrapped is neither. From
    listing counts only pieces that were listed.
    """
    from_sourced, from_listed = _Days(), _Days()
    for ledger in ledgers:
        going = gone_by(ledger, today)
        if going is not None and not isinstance(going, SaleRow):
            continue
        from_sourced.add(ledger, ledger.sourced_on, going, today)
        from_listed.add(ledger, ledger.listed_on, going, today)
    return DaysToSale(from_sourced.spread(), from_listed.spread())


def sitting_too_long(listed: Sequence[ListedPiece], threshold_days: int, today: date) -> tuple[SittingPiece, ...]:
    """The pieces that have been for sale for `threshold_days` or more, the longest first."""
    sitting = [SittingPiece(piece, (today - piece.listed_on).days) for piece in listed]
    too_long = [piece for piece in sitting if piece.days >= threshold_days]
    return tuple(sorted(too_long, key=lambda sitting_piece: (-sitting_piece.days, sitting_piece.piece.tag)))


class _Days:
    """Gathers the days of sold and unsold pieces from one kind of start."""

    def __init__(self) -> None:
        self.sold: list[PieceDays] = []
        self.unsold: list[PieceDays] = []

    def add(self, ledger: PieceLedger, start: date | None, sale: SaleRow | None, today: date) -> None:
        end = today if sale is None else sale.on
        if start is None or start > end:
            return
        days = PieceDays(ledger.piece_id, ledger.tag, ledger.title, (end - start).days)
        (self.unsold if sale is None else self.sold).append(days)

    def spread(self) -> Spread:
        quickest_first = sorted(self.sold, key=lambda piece: (piece.days, piece.tag))
        longest_first = sorted(self.unsold, key=lambda piece: (-piece.days, piece.tag))
        return Spread(tuple(quickest_first), tuple(longest_first))
