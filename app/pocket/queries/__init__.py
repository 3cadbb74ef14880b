"""Read captures, and what a phone takes along."""

from app.pocket.queries.captures import (
    CaptureRow,
    WantedPhoto,
    capture_row,
    captures,
    captures_received,
    count_captures,
    made_of,
    photos_wanted,
)
from app.pocket.queries.home import MOST_PIECES, HomeSheet, home_sheet

__all__ = [
    "MOST_PIECES",
    "CaptureRow",
    "HomeSheet",
    "WantedPhoto",
    "capture_row",
    "captures",
    "captures_received",
    "count_captures",
    "home_sheet",
    "made_of",
    "photos_wanted",
]
