"""Pages of the books: the first page, months and years, pieces, time, stock, ratios, and what the taxes ask."""

from app.reports.routes import (
    books,
    closing,
    days,
    month_paper,
    months,
    pieces,
    price,
    ratios,
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
    "closing",
    "days",
    "month_paper",
    "months",
    "pieces",
    "price",
    "ratios",
    "sales_tax",
    "statements",
    "stock",
    "worksheet",
    "writing_down",
    "year_paper",
    "years",
]
