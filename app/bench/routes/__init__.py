"""Pages of the bench: work in hand, the usual hours, what pieces bring, and the plan."""

from app.bench.routes import feed, planning, setting, work
from app.bench.routes.blueprint import bp

__all__ = ["bp", "feed", "planning", "setting", "work"]
