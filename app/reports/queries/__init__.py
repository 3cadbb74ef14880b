"""Read the books: ledgers, profits, months, stock, days, hours, and their proof."""

from app.reports.queries.days import days_to_sale_of, hours_of, listed_pieces, sitting
from app.reports.queries.ledgers import piece_ledgers
from app.reports.queries.months import month_of, months_known, months_of
from app.reports.queries.pieces import ledger_of_piece, profit_of_piece, profits_of
from app.reports.queries.proof import prove_ledger
from app.reports.queries.stock import StageSum, StockRow, stage_sums, stock_moved, stock_now, stock_of_piece, stock_rows

__all__ = [
    "StageSum",
    "StockRow",
    "days_to_sale_of",
    "hours_of",
    "ledger_of_piece",
    "listed_pieces",
    "month_of",
    "months_known",
    "months_of",
    "piece_ledgers",
    "profit_of_piece",
    "profits_of",
    "prove_ledger",
    "sitting",
    "stage_sums",
    "stock_moved",
    "stock_now",
    "stock_of_piece",
    "stock_rows",
]
