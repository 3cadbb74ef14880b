"""Read one piece's reckoning with the words of every row behind it, the struck ones apart."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from app.costs.queries import costs_of
from app.pieces.queries import PieceRow, leavings_of, purchases_of, transfers_of
from app.pieces.queries import piece_by_tag as find_piece
from app.reports.queries.costs import COST_LINE, PURCHASE, TIME_ENTRY, TRANSFER
from app.reports.queries.order import LEAVING, RETURN, SALE
from app.reports.queries.pieces import ledger_of_piece
from app.reports.queries.words import RowWords, rows_beside
from app.reports.rules import MovementKind, PieceLedger, PieceProfit, RowRef, piece_profit, walk
from app.sales.queries import SaleRow, sales_of
from app.timelog.queries import times_of


@dataclass(frozen=True)
class StruckRow:
    """One row of money that was struck out: it counts for nothing and stays in sight. Cents."""

    on: date
    words: str
    cents: int
    reason: str


@dataclass(frozen=True)
class PieceBooks:
    """A piece, its reckoning, the words of its rows, its struck rows, and which costs came when it was gone."""

    piece: PieceRow
    ledger: PieceLedger
    profit: PieceProfit
    words: dict[RowRef, RowWords]
    late: frozenset[RowRef]
    struck: tuple[StruckRow, ...]


def piece_books(session: Session, tag: str) -> PieceBooks:
    """All that the profit page of a piece shows; raises NotFound."""
    piece = find_piece(session, tag)
    ledger = ledger_of_piece(session, piece.id)
    words: dict[RowRef, RowWords] = {}
    struck: list[StruckRow] = []
    _purchases(session, piece, words, struck)
    _cost_lines(session, piece, words, struck)
    _sales(session, piece, words, struck)
    _moves(session, piece, words)
    for told in rows_beside(session, piece.id):
        words[told.row] = told.words
        if told.struck_reason is not None:
            struck.append(StruckRow(told.words.on, told.words.words, told.cents, told.struck_reason))
    struck.sort(key=lambda row: row.on)
    late = frozenset(move.source.row for move in walk(ledger) if move.kind is MovementKind.LATE_COST)
    return PieceBooks(piece, ledger, piece_profit(ledger), words, late, tuple(struck))


def _purchases(session: Session, piece: PieceRow, words: dict[RowRef, RowWords], struck: list[StruckRow]) -> None:
    for bought in purchases_of(session, piece.id):
        said = ", ".join(part for part in (_came_words(bought.kind, bought.haul_id), piece.source_name) if part)
        words[RowRef(PURCHASE, bought.id)] = RowWords(bought.on_date, said, haul_id=bought.haul_id)
        if bought.is_struck:
            struck.append(StruckRow(bought.on_date, said, bought.total_cents, bought.struck_reason or ""))


def _came_words(kind: str, haul_id: int | None) -> str:
    if haul_id is not None:
        return f"Its share of haul {haul_id}"
    return {"opening": "Owned when the books began", "free": "Came free"}.get(kind, "Bought")


def _cost_lines(session: Session, piece: PieceRow, words: dict[RowRef, RowWords], struck: list[StruckRow]) -> None:
    for line in costs_of(session, piece.id):
        said = ", ".join(part for part in (line.kind_words, line.note, line.bought_at) if part)
        words[RowRef(COST_LINE, line.id)] = RowWords(line.on_date, said)
        if line.is_struck:
            struck.append(StruckRow(line.on_date, said, line.amount_cents, line.struck_reason or ""))


def _sales(session: Session, piece: PieceRow, words: dict[RowRef, RowWords], struck: list[StruckRow]) -> None:
    for sale in sales_of(session, piece.id):
        words[RowRef(SALE, sale.id)] = RowWords(sale.sold_on, _sold_words(sale), sale_id=sale.id)
        if sale.is_struck:
            struck.append(StruckRow(sale.sold_on, _sold_words(sale), sale.net_cents, sale.struck_reason or ""))
        for back in sale.returns:
            words[RowRef(RETURN, back.id)] = RowWords(back.returned_on, f"Came back: {back.reason}", sale_id=sale.id)
            if back.is_struck:
                said = f"Came back: {back.reason}"
                struck.append(StruckRow(back.returned_on, said, -back.net_cents, back.struck_reason or ""))


def _sold_words(sale: SaleRow) -> str:
    to_whom = f"to {sale.buyer_name}" if sale.buyer_name else ""
    return ", ".join(part for part in ("Sold", to_whom, sale.channel_name) if part)


def _moves(session: Session, piece: PieceRow, words: dict[RowRef, RowWords]) -> None:
    for moved in transfers_of(session, piece.id):
        way = "To" if moved.cents < 0 or moved.minutes < 0 else "From"
        said = f"{way} {moved.other_tag}: {moved.reason}"
        words[RowRef(TRANSFER, moved.id)] = RowWords(moved.on_date, said, moved.other_tag)
    for left in leavings_of(session, piece.id):
        said = ": ".join(part for part in (left.how_words.capitalize(), left.reason) if part)
        words[RowRef(LEAVING, left.id)] = RowWords(left.on_date, said)
    for entry in times_of(session, piece.id):
        said = ", ".join(part for part in (entry.activity_words, entry.note) if part)
        words[RowRef(TIME_ENTRY, entry.id)] = RowWords(entry.on_date, said)
