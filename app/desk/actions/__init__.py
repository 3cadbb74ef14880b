"""Acts that span rooms: each asks the rooms below, in one transaction."""

from app.desk.actions.correcting import correct_closed_row, require_correctable, strike_correction
from app.desk.actions.finding import log_find_with_photos
from app.desk.actions.leaving import leave_piece, step_back_piece
from app.desk.actions.opening import enter_owned_pieces, open_shop
from app.desk.actions.parts import take_parts
from app.desk.actions.receipts import attach_receipt, take_receipt_off
from app.desk.actions.splitting import split_set
from app.desk.actions.striking import strike_find

__all__ = [
    "attach_receipt",
    "correct_closed_row",
    "enter_owned_pieces",
    "leave_piece",
    "log_find_with_photos",
    "open_shop",
    "require_correctable",
    "split_set",
    "step_back_piece",
    "strike_correction",
    "strike_find",
    "take_parts",
    "take_receipt_off",
]
