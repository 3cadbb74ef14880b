"""Pages of the books: the first page, months, pieces, days and hours, stock."""

from app.reports.routes import books, days, months, pieces, stock
from app.reports.routes.blueprint import bp

__all__ = ["books", "bp", "days", "months", "pieces", "stock"]
