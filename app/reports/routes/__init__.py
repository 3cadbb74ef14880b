"""Pages of the books: the first page, months and their closing, years, pieces, days and hours, stock, ratios."""

from app.reports.routes import (
    books,
    closing,
    days,
    month_paper,
    months,
    pieces,
    price,
    ratios,
    stock,
    year_paper,
    years,
)
from app.reports.routes.blueprint import bp

__all__ = [
    "books",
    "bp",
    "closing",
    "days",
    "month_paper",
    "months",
    "pieces",
    "price",
    "ratios",
    "stock",
    "year_paper",
    "years",
]
