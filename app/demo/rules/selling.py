"""The rows of the demo's files that tell of the floor, fees by date, sales and their tax, deposits and refunds."""

from dataclasses import dataclass

from app.demo.rules.cells import Cents, Day, Percent, Rate, Record
from app.pieces.rules import Stage
from app.sales.rules import DepositEnding, TaxBasis


@dataclass(frozen=True, slots=True)
class ChannelRecord(Record):
    """A kind of place where pieces are offered, with what it takes of a sale."""

    channel: str
    percent: Percent
    fixed_fee: Cents


@dataclass(frozen=True, slots=True)
class ListingRecord(Record):
    """A piece put on the floor at a price; its channels stand in one cell, parted by semicolons."""

    piece: str
    day: Day
    asking: Cents
    channels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WordingRecord(Record):
    """The owner's own words for listing a piece."""

    piece: str
    day: Day
    words: str


@dataclass(frozen=True, slots=True)
class PriceRecord(Record):
    """Another price asked from a day on."""

    piece: str
    day: Day
    asking: Cents
    note: str


@dataclass(frozen=True, slots=True)
class HoldRecord(Record):
    """A piece kept back for somebody until a day; lifted by hand, by the sale, or not yet."""

    piece: str
    day: Day
    held_for: str
    until_day: Day
    note: str
    lifted_day: Day | None


@dataclass(frozen=True, slots=True)
class ChannelFeeRecord(Record):
    """What a channel takes from a day on; said on the first evening."""

    channel: str
    from_day: Day
    percent: Percent
    fixed_fee: Cents
    note: str


@dataclass(frozen=True, slots=True)
class TaxRateRecord(Record):
    """The rate of a place of sales tax from a day on; the first row of a place adds it, on the first evening."""

    place: str
    from_day: Day
    rate: Rate
    rounded: TaxBasis


@dataclass(frozen=True, slots=True)
class DepositRecord(Record):
    """A deposit on a piece: given back or kept where it says so, else applied by the sale, or standing."""

    piece: str
    day: Day
    payer: str
    amount: Cents
    note: str
    end_day: Day | None
    how: DepositEnding | None
    reason: str


@dataclass(frozen=True, slots=True)
class RefundRecord(Record):
    """Money given back in part on the last sale of a piece."""

    piece: str
    day: Day
    refund: Cents
    tax_refunded: Cents
    fees_back: Cents
    reason: str


@dataclass(frozen=True, slots=True)
class SaleRecord(Record):
    """A sale; struck out again where it was a mistake."""

    piece: str
    day: Day
    channel: str
    price: Cents
    delivery_charged: Cents
    delivery_paid: Cents
    fees: Cents
    sales_tax: Cents
    tax_place: str
    channel_tax: Cents
    untaxed_reason: str
    buyer: str
    note: str
    struck_day: Day | None
    struck_reason: str


@dataclass(frozen=True, slots=True)
class ReturnRecord(Record):
    """The last sale of a piece came back."""

    piece: str
    day: Day
    refund: Cents
    tax_refunded: Cents
    fees_back: Cents
    delivery_back: Cents
    to_stage: Stage
    reason: str
