"""Pages of the shelf: its list, one material, what was bought, used and counted, and what a piece used."""

from app.shelf.routes import entering, materials, pieces, striking
from app.shelf.routes.blueprint import bp

__all__ = ["bp", "entering", "materials", "pieces", "striking"]
