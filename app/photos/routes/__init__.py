"""Pages of the photos room: photos of a piece, each by itself, the pictures themselves, and photos sent one by one."""

from app.photos.routes import of_piece, one, pictures, sending
from app.photos.routes.blueprint import bp

PAGES = (of_piece, one, pictures, sending)

__all__ = ["PAGES", "bp"]
