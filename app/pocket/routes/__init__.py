"""What a phone fetches, sends home and rescues."""

from app.pocket.routes import captures, held, rescue, shell
from app.pocket.routes.blueprint import bp

PAGES = (captures, held, rescue, shell)

__all__ = ["PAGES", "bp"]
