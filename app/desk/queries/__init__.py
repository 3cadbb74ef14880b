"""What the desk shows, gathered from the rooms below: Today, a piece's sheet, what was owned at the start."""

from app.desk.queries.correctable import RowSheet
from app.desk.queries.corrections import row_to_correct
from app.desk.queries.history import HistoryLine, history_of
from app.desk.queries.own import owned_at_start
from app.desk.queries.parts import stands_at
from app.desk.queries.pile import PhotoGroup, pile_groups, with_pieces
from app.desk.queries.receipts import ReceiptRow, receipt_row, rows_attached, rows_without_receipt
from app.desk.queries.sheet import PieceSheet, piece_sheet
from app.desk.queries.split import SetSheet, set_sheet
from app.desk.queries.striking import what_counts_on
from app.desk.queries.today import HeldCard, LatestRow, MonthCard, TodaySheet, today_sheet

__all__ = [
    "HeldCard",
    "HistoryLine",
    "LatestRow",
    "MonthCard",
    "PhotoGroup",
    "PieceSheet",
    "ReceiptRow",
    "RowSheet",
    "SetSheet",
    "TodaySheet",
    "history_of",
    "owned_at_start",
    "piece_sheet",
    "pile_groups",
    "receipt_row",
    "row_to_correct",
    "rows_attached",
    "rows_without_receipt",
    "set_sheet",
    "stands_at",
    "today_sheet",
    "what_counts_on",
    "with_pieces",
]
