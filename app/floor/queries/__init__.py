"""Read the floor: channels with what they take, listings with their prices and holds."""

from app.floor.queries.cautions import cautions_of, harms_of
from app.floor.queries.channels import (
    ChannelRow,
    FeeRow,
    RemainsRow,
    channel_by_id,
    channel_names,
    channels,
    channels_of,
    fee_by_id,
    fees_by_channel,
    fees_of,
    what_remains,
)
from app.floor.queries.listings import (
    FloorCard,
    HoldRow,
    ListingSheet,
    PriceRow,
    floor_cards,
    listings_of,
    open_listing,
    shop_today,
)
from app.floor.queries.wordings import NEVER_WORDED, WordingRow, wording_of, wordings_of

__all__ = [
    "NEVER_WORDED",
    "ChannelRow",
    "FeeRow",
    "FloorCard",
    "HoldRow",
    "ListingSheet",
    "PriceRow",
    "RemainsRow",
    "WordingRow",
    "cautions_of",
    "channel_by_id",
    "channel_names",
    "channels",
    "channels_of",
    "fee_by_id",
    "fees_by_channel",
    "fees_of",
    "floor_cards",
    "harms_of",
    "listings_of",
    "open_listing",
    "shop_today",
    "what_remains",
    "wording_of",
    "wordings_of",
]
