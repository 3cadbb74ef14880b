"""Pages of sales: sell a piece, what was sold, what was given back, deposits, and places of sales tax."""

from app.sales.routes import deposits, giving_back, lists, selling, tax
from app.sales.routes.blueprint import bp

PAGES = (deposits, giving_back, lists, selling, tax)

__all__ = ["PAGES", "bp"]
