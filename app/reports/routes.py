"""Pages of the reports room."""

from flask import Blueprint

bp = Blueprint("reports", __name__, template_folder="templates")


def _soon(**_arguments: object) -> str:
    return "<title>Books</title><h1>Books</h1>"


for _name, _path in {
    "books": "/books",
    "months": "/books/months",
    "month": "/books/months/<month>",
    "pieces_profit": "/books/pieces",
    "piece_profit": "/pieces/<tag>/profit",
    "days_to_sale": "/books/days-to-sale",
    "hours": "/books/hours",
    "stock": "/books/stock",
    "sitting": "/books/sitting",
    "left": "/books/left",
}.items():
    bp.add_url_rule(_path, _name, _soon)
