"""Pages that gather rooms: Today, a piece's sheet, logging finds, first start, tags, Settings."""

from app.desk.routes import (
    corrections,
    find,
    haul,
    leaving,
    listing,
    own,
    pack,
    parts,
    pieces,
    pile,
    receipts,
    settings,
    sheet,
    split,
    start,
    tags,
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
    "pack",
    "parts",
    "pieces",
    "pile",
    "receipts",
    "settings",
    "sheet",
    "split",
    "start",
    "tags",
    "today",
]
