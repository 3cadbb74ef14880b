"""Read pieces, their history, hauls and sources; pages get frozen rows."""

from app.pieces.queries.bounds import require_day_that_fits, require_steps_that_fit
from app.pieces.queries.choosing import MOST_SEARCH_WORDS, ORDERS, count_pieces, pieces_chosen
from app.pieces.queries.haul_sheets import (
    HaulRow,
    HaulShareRow,
    HaulSheet,
    HaulVersion,
    count_hauls,
    haul_sheet,
    hauls,
    why_fixed,
)
from app.pieces.queries.history import (
    CorrectionRow,
    LeavingSheet,
    PurchaseRow,
    TransferRow,
    corrections_of,
    counting_purchase,
    counting_purchases,
    leavings_of,
    purchase_row,
    purchases_of,
    steps_of,
    transfers_of,
)
from app.pieces.queries.one import PieceRow, piece_by_tag, piece_row, piece_rows, rows_of, rows_query, tag_meant
from app.pieces.queries.source_rows import SourceRow, source_row, sources

__all__ = [
    "MOST_SEARCH_WORDS",
    "ORDERS",
    "CorrectionRow",
    "HaulRow",
    "HaulShareRow",
    "HaulSheet",
    "HaulVersion",
    "LeavingSheet",
    "PieceRow",
    "PurchaseRow",
    "SourceRow",
    "TransferRow",
    "corrections_of",
    "count_hauls",
    "count_pieces",
    "counting_purchase",
    "counting_purchases",
    "haul_sheet",
    "hauls",
    "leavings_of",
    "piece_by_tag",
    "piece_row",
    "piece_rows",
    "pieces_chosen",
    "purchase_row",
    "purchases_of",
    "require_day_that_fits",
    "require_steps_that_fit",
    "rows_of",
    "rows_query",
    "source_row",
    "sources",
    "steps_of",
    "tag_meant",
    "transfers_of",
    "why_fixed",
]
