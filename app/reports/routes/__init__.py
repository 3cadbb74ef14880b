"""Pages of the books: the first page, months, pieces, days and hours, stock."""

from app.reports.routes import books, days, months, pieces, ratios, stock
from app.reports.routes.blueprint import bp

__all__ = ["books", "bp", "days", "months", "pieces", "ratios", "stock"]
