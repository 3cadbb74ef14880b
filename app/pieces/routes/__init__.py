"""Pages of the pieces room: the list, putting right, moving, hauls and sources."""

from app.pieces.routes import correcting, hauls, listing, moving, paying, sources
from app.pieces.routes.blueprint import bp

PAGES = (correcting, hauls, listing, moving, paying, sources)

__all__ = ["PAGES", "bp"]
