"""Pages of the floor: what is for sale, and the channels it is offered through."""

from app.floor.routes import channels, offering
from app.floor.routes.blueprint import bp

PAGES = (channels, offering)

__all__ = ["PAGES", "bp"]
