"""Sales tax: how it is rounded, who collects it, and what a sale says of it.

The figures are handed over with the books; what is taxed, where and at which rate, local law and a licensed
preparer decide.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType

from app.basics.dates import day_in_words
from app.basics.errors import RuleError
from app.basics.money import half_up
from app.basics.quantities import RATE_WHOLE


class TaxBasis(StrEnum):
    """What sales tax is rounded on: each item of a sale by itself, or the sale as a whole."""

    ITEM = "item"
    INVOICE = "invoice"


BASIS_WORDS: Mapping[TaxBasis, str] = MappingProxyType(
    {TaxBasis.ITEM: "On each item by itself", TaxBasis.INVOICE: "On the sale as a whole"}
)


class TaxBy(StrEnum):
    """Who collects the sales tax of a sale from its buyer and hands it on."""

    SHOP = "shop"
    CHANNEL = "channel"
    NOBODY = "nobody"


TAX_BY_WORDS: Mapping[TaxBy, str] = MappingProxyType(
    {TaxBy.SHOP: "The shop", TaxBy.CHANNEL: "The channel", TaxBy.NOBODY: "Nobody"}
)


@dataclass(frozen=True)
class DatedRate:
    """The rate of a place from a day on, in millionths."""

    from_date: date
    rate_ppm: int


@dataclass(frozen=True)
class PlaceOfTax:
    """The place a sale's tax is for, with the rate and the rounding in force there on the day (None: no rate yet)."""

    id: int
    name: str
    rate_ppm: int | None
    basis: TaxBasis


@dataclass(frozen=True)
class TaxSaid:
    """What is said of the tax of a sale: its place, who collects it, and the amount in cents where it was typed."""

    by: TaxBy
    place: PlaceOfTax | None
    typed_cents: int | None = None
    untaxed_reason: str = ""


@dataclass(frozen=True)
class TaxOfSale:
    """What a sale keeps of its tax: collected by the shop or by the channel, in cents, with where it comes from."""

    tax_cents: int = 0
    channel_tax_cents: int = 0
    place_id: int | None = None
    rate_ppm: int | None = None
    basis: TaxBasis | None = None
    untaxed_reason: str = ""
    is_worked_out: bool = False


def rate_on(day: date, rates: Iterable[DatedRate]) -> int | None:
    """The rate in force on a day, in millionths: the newest that has begun; None before the first."""
    begun = [rate for rate in rates if rate.from_date <= day]
    return max(begun, key=lambda rate: rate.from_date).rate_ppm if begun else None


def tax_of_items(items: Sequence[int], rate_ppm: int, basis: TaxBasis) -> int:
    """The tax on amounts in minor units: rounded half-up once, on each item by itself or on all together.

    Carried to the third decimal and up when that digit exceeds four, which on an exact amount is half-up.
    Refuses an amount below zero and a rate beyond 0 to 100 percent (ValueError).
    """
    if min(items, default=0) < 0 or not 0 <= rate_ppm <= RATE_WHOLE:
        raise ValueError("Tax is worked out of amounts that are not below zero, at 0 to 100 percent.")
    taxed = items if basis is TaxBasis.ITEM else [sum(items)]
    return sum(half_up(Fraction(cents * rate_ppm, RATE_WHOLE)) for cents in taxed)


def tax_due(price_cents: int, delivery_charged_cents: int, rate_ppm: int, basis: TaxBasis) -> int:
    """The tax on a piece and its delivery, both taxed; by item they are two items."""
    return tax_of_items((price_cents, delivery_charged_cents), rate_ppm, basis)


def tax_of_sale(said: TaxSaid, price_cents: int, delivery_charged_cents: int, day: date) -> TaxOfSale:
    """What a sale keeps of its tax: as typed, or worked out from the rate of its place where nothing was typed.

    Without a place it is what was typed. Refuses, at the field, what contradicts itself and a place without a
    rate on the day (RuleError).
    """
    _require_consistent(said)
    if said.by is TaxBy.NOBODY:
        return TaxOfSale(
            place_id=said.place.id if said.place else None,
            untaxed_reason=said.untaxed_reason,
        )
    if said.place is None:
        amount = said.typed_cents or 0
        return _collected(said.by, amount, TaxOfSale())
    if said.typed_cents is None and said.place.rate_ppm is None:
        raise RuleError(
            f"There is no rate for {said.place.name} on {day_in_words(day)} yet. Type the tax, or set the rate.",
            "tax_place",
        )
    rate, basis = said.place.rate_ppm, said.place.basis
    amount = said.typed_cents or 0
    if said.typed_cents is None and rate is not None:
        amount = tax_due(price_cents, delivery_charged_cents, rate, basis)
    kept = TaxOfSale(
        place_id=said.place.id,
        rate_ppm=rate,
        basis=basis if rate is not None else None,
        is_worked_out=said.typed_cents is None,
    )
    return _collected(said.by, amount, kept)


def _collected(by: TaxBy, amount: int, kept: TaxOfSale) -> TaxOfSale:
    shop, channel = (0, amount) if by is TaxBy.CHANNEL else (amount, 0)
    return TaxOfSale(shop, channel, kept.place_id, kept.rate_ppm, kept.basis, "", kept.is_worked_out)


def _require_consistent(said: TaxSaid) -> None:
    if said.by is TaxBy.NOBODY and said.typed_cents:
        raise RuleError("Nobody collects it, so leave the tax empty, or say who does.", "tax")
    if said.by is not TaxBy.NOBODY and said.untaxed_reason:
        raise RuleError(
            "This says why no tax is due, and yet it is collected. Empty this, or choose nobody.", "untaxed_reason"
        )
    if said.by is TaxBy.CHANNEL and said.place is None and said.typed_cents is None:
        raise RuleError("Choose the place, or type what the channel collects.", "tax")


def require_sound_place(name: str) -> None:
    """Refuse a place without a name (RuleError)."""
    if not name:
        raise RuleError("Give the place a name, like the county or the town.", "name")


def require_sound_rate(rate_ppm: int) -> None:
    """Refuse a rate below nothing or above 100 percent; 0 is a rate (RuleError)."""
    if not 0 <= rate_ppm <= RATE_WHOLE:
        raise RuleError("A rate of sales tax lies between 0 and 100 percent.", "rate")
