"""What can be done on the floor, and with the channels pieces are offered through."""

from app.floor.actions.channels import add_channel, add_fee, correct_channel, strike_fee
from app.floor.actions.listings import (
    change_channels,
    change_price,
    correct_listed_on,
    end_listing,
    hold_piece,
    lift_hold,
    list_piece,
    reopen_listing,
)
from app.floor.actions.wordings import word_care, word_listing

__all__ = [
    "add_channel",
    "add_fee",
    "change_channels",
    "change_price",
    "correct_channel",
    "correct_listed_on",
    "end_listing",
    "hold_piece",
    "lift_hold",
    "list_piece",
    "reopen_listing",
    "strike_fee",
    "word_care",
    "word_listing",
]
