"""The sales tax of a year by place and quarter: what was taxed and by whom, what was collected, what is owed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

MONTHS_IN_QUARTER = 3
NO_REASON = "no reason given"


class Taxed(StrEnum):
    """How a sale stands to sales tax."""

    BY_SHOP = "by_shop"
    BY_CHANNEL = "by_channel"
    NOT = "not"


TAXED_WORDS = {
    Taxed.BY_SHOP: "you collected",
    Taxed.BY_CHANNEL: "the channel collected",
    Taxed.NOT: "not taxed",
}


@dataclass(frozen=True, slots=True)
class TaxEntry:
    """One row of a sale, a return, a refund or a correction, in cents, on its own day.

    `gross` is price and delivery charged; `given_back` of those; `tax` what the shop collected and `tax_back` what
    it gave back of that; `channel_tax` what the channel collected, which the shop never owes.
    """

    table: str
    id: int
    sale_id: int
    tag: str
    piece_name: str
    on: date
    place_id: int | None
    taxed: Taxed
    reason: str
    gross: int = 0
    given_back: int = 0
    tax: int = 0
    tax_back: int = 0
    channel_tax: int = 0


@dataclass(frozen=True, slots=True)
class TaxSum:
    """What the entries of one place and quarter (or of several) add up to, in cents."""

    gross: int
    not_taxed: int
    by_channel: int
    by_shop: int
    given_back: int
    given_back_by_shop: int
    tax: int
    tax_back: int
    channel_tax: int
    reasons: tuple[tuple[str, int], ...]

    @property
    def owed(self) -> int:
        """Tax collected by the shop less what it gave back."""
        return self.tax - self.tax_back

    @property
    def taxable(self) -> int:
        """What the shop's own tax is for: taxed by it, less what was given back on such sales."""
        return self.by_shop - self.given_back_by_shop


@dataclass(frozen=True, slots=True)
class PlaceQuarter:
    """One place in one quarter."""

    quarter: int
    place_id: int | None
    place: str
    sum: TaxSum


def taxed_how(tax: int, channel_tax: int) -> Taxed:
    """How a sale stands to sales tax, told by who collected any."""
    if tax:
        return Taxed.BY_SHOP
    return Taxed.BY_CHANNEL if channel_tax else Taxed.NOT


def quarter_of(day: date) -> int:
    """The quarter of its year a day lies in, from 1 to 4."""
    return (day.month - 1) // MONTHS_IN_QUARTER + 1


def tax_sum(entries: Iterable[TaxEntry]) -> TaxSum:
    """What the entries add up to; untaxed sales by their reasons, the largest first."""
    held = tuple(entries)
    reasons: dict[str, int] = {}
    for entry in held:
        if entry.taxed is Taxed.NOT and entry.gross:
            reason = entry.reason or NO_REASON
            reasons[reason] = reasons.get(reason, 0) + entry.gross
    return TaxSum(
        gross=sum(entry.gross for entry in held),
        not_taxed=_gross(held, Taxed.NOT),
        by_channel=_gross(held, Taxed.BY_CHANNEL),
        by_shop=_gross(held, Taxed.BY_SHOP),
        given_back=sum(entry.given_back for entry in held),
        given_back_by_shop=sum(entry.given_back for entry in held if entry.taxed is Taxed.BY_SHOP),
        tax=sum(entry.tax for entry in held),
        tax_back=sum(entry.tax_back for entry in held),
        channel_tax=sum(entry.channel_tax for entry in held),
        reasons=tuple(sorted(reasons.items(), key=lambda one: (-one[1], one[0]))),
    )


def by_place_and_quarter(entries: Iterable[TaxEntry], names: dict[int, str], nowhere: str) -> list[PlaceQuarter]:
    """The entries by quarter and, within it, by the name of the place; those without a place last."""
    sorted_in: dict[tuple[int, int | None], list[TaxEntry]] = {}
    for entry in entries:
        sorted_in.setdefault((quarter_of(entry.on), entry.place_id), []).append(entry)
    found = [
        PlaceQuarter(quarter, place_id, nowhere if place_id is None else names[place_id], tax_sum(held))
        for (quarter, place_id), held in sorted_in.items()
    ]
    return sorted(found, key=lambda one: (one.quarter, one.place_id is None, one.place.casefold()))


def _gross(entries: Iterable[TaxEntry], how: Taxed) -> int:
    return sum(entry.gross for entry in entries if entry.taxed is how)
