"""Change pieces, hauls and sources: one verb each; none of them commits."""

from app.pieces.actions.correcting import correct_facts, note_next, set_finish, wear_finish
from app.pieces.actions.dating import correct_dates, date_listing
from app.pieces.actions.entering import enter_owned, log_find, log_haul
from app.pieces.actions.hauls import correct_haul
from app.pieces.actions.moving import bring_back, leave, move_piece, step_back, step_forward
from app.pieces.actions.paying import correct_paid
from app.pieces.actions.sources import add_source, correct_source
from app.pieces.actions.splitting import split_off
from app.pieces.actions.striking import strike_find, undo_step

__all__ = [
    "add_source",
    "bring_back",
    "correct_dates",
    "correct_facts",
    "correct_haul",
    "correct_paid",
    "correct_source",
    "date_listing",
    "enter_owned",
    "leave",
    "log_find",
    "log_haul",
    "move_piece",
    "note_next",
    "set_finish",
    "split_off",
    "step_back",
    "step_forward",
    "strike_find",
    "undo_step",
    "wear_finish",
]
