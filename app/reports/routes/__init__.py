"""Pages of the books: the first page, months, pieces, days and hours, stock, years."""

from app.reports.routes import books, days, month_paper, months, pieces, price, stock, year_paper, years
from app.reports.routes.blueprint import bp

__all__ = ["books", "bp", "days", "month_paper", "months", "pieces", "price", "stock", "year_paper", "years"]
