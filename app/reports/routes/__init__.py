"""Pages of the books: the first page, months, pieces, days and hours, stock, and what the taxes ask."""

from app.reports.routes import (
    books,
    days,
    month_paper,
    months,
    pieces,
    sales_tax,
    statements,
    stock,
    worksheet,
    writing_down,
    year_paper,
    years,
)
from app.reports.routes.blueprint import bp

__all__ = [
    "books",
    "bp",
    "days",
    "month_paper",
    "months",
    "pieces",
    "sales_tax",
    "statements",
    "stock",
    "worksheet",
    "writing_down",
    "year_paper",
    "years",
]
