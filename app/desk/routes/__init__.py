"""Pages that gather rooms: Today, a piece's sheet, logging finds, first start, Settings."""

from app.desk.routes import (
    corrections,
    find,
    haul,
    leaving,
    listing,
    own,
    parts,
    pieces,
    settings,
    sheet,
    split,
    start,
    today,
)
from app.desk.routes.blueprint import bp

__all__ = [
    "bp",
    "corrections",
    "find",
    "haul",
    "leaving",
    "listing",
    "own",
    "parts",
    "pieces",
    "settings",
    "sheet",
    "split",
    "start",
    "today",
]
