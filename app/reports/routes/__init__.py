"""Pages of the books: the first page, months and their closing, pieces, days and hours, stock."""

from app.reports.routes import books, closing, days, months, pieces, stock
from app.reports.routes.blueprint import bp

__all__ = ["books", "bp", "closing", "days", "months", "pieces", "stock"]
