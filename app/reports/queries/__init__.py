"""Read the books: ledgers, profits, months, stock, days, hours, and their proof."""

from app.reports.queries.days import days_to_sale_of, hours_of, listed_pieces, sales_that_came_back, sitting
from app.reports.queries.hub import BooksSheet, books_sheet
from app.reports.queries.ledgers import piece_ledgers
from app.reports.queries.month_page import MonthSheet, SoldRow, month_sheet
from app.reports.queries.months import days_known, month_of, months_known, months_of
from app.reports.queries.piece_list import ORDER_WORDS, SHOWN_WORDS, Order, PieceList, Shown, piece_list
from app.reports.queries.piece_page import PieceBooks, StruckRow, piece_books
from app.reports.queries.pieces import ledger_of_piece, profit_of_piece, profits_of
from app.reports.queries.price import SoldPrice, sold_count, sold_prices
from app.reports.queries.proof import prove_ledger
from app.reports.queries.stock import (
    LeftRow,
    StageSum,
    StockRow,
    StockSheet,
    left_rows,
    stage_sums,
    stock_moved,
    stock_now,
    stock_of_piece,
    stock_rows,
    stock_sheet,
)
from app.reports.queries.words import RowWords

__all__ = [
    "ORDER_WORDS",
    "SHOWN_WORDS",
    "BooksSheet",
    "LeftRow",
    "MonthSheet",
    "Order",
    "PieceBooks",
    "PieceList",
    "RowWords",
    "Shown",
    "SoldPrice",
    "SoldRow",
    "StageSum",
    "StockRow",
    "StockSheet",
    "StruckRow",
    "books_sheet",
    "days_known",
    "days_to_sale_of",
    "hours_of",
    "ledger_of_piece",
    "left_rows",
    "listed_pieces",
    "month_of",
    "month_sheet",
    "months_known",
    "months_of",
    "piece_books",
    "piece_ledgers",
    "piece_list",
    "profit_of_piece",
    "profits_of",
    "prove_ledger",
    "sales_that_came_back",
    "sitting",
    "sold_count",
    "sold_prices",
    "stage_sums",
    "stock_moved",
    "stock_now",
    "stock_of_piece",
    "stock_rows",
    "stock_sheet",
]
