"""Take captures in, hold what cannot be entered, enter it put right; none of them commits."""

from app.pocket.actions.holding import enter_by_hand, hold_capture, let_go, take_up
from app.pocket.actions.receiving import Outcome, receive_capture, take_photo, wants_photo
from app.pocket.actions.telling import note_waiting

__all__ = [
    "Outcome",
    "enter_by_hand",
    "hold_capture",
    "let_go",
    "note_waiting",
    "receive_capture",
    "take_photo",
    "take_up",
    "wants_photo",
]
