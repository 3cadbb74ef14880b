"""Read write-downs: of one piece with all that was entered, and of everything on hand on a day."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.floor.models import AskingPrice, Listing
from app.pieces.models import Piece
from app.pieces.queries import PieceRow, piece_by_tag
from app.pieces.rules import shown_name
from app.reports.models import WriteDown
from app.reports.queries.chosen import here_or_moved_since
from app.reports.queries.ledgers import ledgers_of_money
from app.reports.queries.pieces import ledger_of_piece
from app.reports.queries.sums import line_total
from app.reports.rules import PieceLedger, RowRef, stock_list, stock_of_piece
from app.reports.rules.ownership import gone_by
from app.reports.rules.writing_down import Valuation, WriteDownRow, net_realisable, valued

WRITE_DOWN = "write_down"

WRITTEN = "closing:written"
"""The line of the sums with what is written down at the end of its last day, below zero."""


@dataclass(frozen=True)
class ValuedPiece:
    """A piece on hand on a day: what it stands at, and what was asked for it then, None where it was not offered."""

    piece_id: int
    tag: str
    title: str
    value: Valuation
    asking: int | None

    @property
    def is_asked_below_cost(self) -> bool:
        """Whether less was asked for it than it cost."""
        return self.asking is not None and self.asking < self.value.cost

    @property
    def needs_a_look(self) -> bool:
        """Whether it is written down, must be changed on what was said last, or is offered below its cost."""
        return bool(self.value.written or self.value.change or self.is_asked_below_cost)


@dataclass(frozen=True)
class WrittenRow:
    """One entry, as a page shows it, struck out or counting."""

    id: int
    piece_id: int
    tag: str
    piece_name: str
    on_date: date
    price_expected_cents: int
    finish_cents: int
    sell_cents: int
    cost_cents: int
    cents: int
    reason: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out and counts no more."""
        return self.struck_at is not None

    @property
    def net_cents(self) -> int:
        """What the piece was expected to bring."""
        return net_realisable(self.price_expected_cents, self.finish_cents, self.sell_cents)


@dataclass(frozen=True)
class StockValued:
    """Everything on hand at the end of a day, the pieces that need a look first; `entered` is of that day's year."""

    on: date
    pieces: tuple[ValuedPiece, ...]
    entered: tuple[WrittenRow, ...]

    @property
    def to_look_at(self) -> tuple[ValuedPiece, ...]:
        """The pieces that need a look."""
        return tuple(piece for piece in self.pieces if piece.needs_a_look)

    @property
    def cost(self) -> int:
        """All of it at cost."""
        return sum(piece.value.cost for piece in self.pieces)

    @property
    def written(self) -> int:
        """What of it is written down."""
        return sum(piece.value.written for piece in self.pieces)

    @property
    def lower(self) -> int:
        """The lower of cost and what each piece will bring, as far as it was written down."""
        return self.cost - self.written


@dataclass(frozen=True)
class PieceValued:
    """One piece on a day with every entry it has, the newest first; `value` is None where it is not here that day."""

    piece: PieceRow
    on: date
    value: Valuation | None
    asking: int | None
    entered: tuple[WrittenRow, ...]


def rows_of_piece(session: Session, piece_id: int) -> list[WriteDownRow]:
    """The counting write-downs of a piece, in the order of their days; one query."""
    return _counting(session, piece_id).get(piece_id, [])


def stock_valued(session: Session, on: date) -> StockValued:
    """Everything on hand at the end of a day, at cost and as far as it is written down; a fixed number of queries."""
    ledgers = ledgers_of_money(session, here_or_moved_since(on, date.max))
    in_year = WriteDown.on_date.between(date(on.year, 1, 1), date(on.year, 12, 31))
    entered = session.execute(_ENTERED.where(in_year).order_by(WriteDown.on_date.desc(), WriteDown.id.desc()))
    pieces = _valued_pieces(ledgers, _counting(session), _asked_on(session, on), on)
    return StockValued(on, tuple(pieces), tuple(_row(row, piece) for row, piece in entered))


def piece_valued(session: Session, tag: str, on: date) -> PieceValued:
    """One piece on a day and all that was entered for it; raises NotFound."""
    piece = piece_by_tag(session, tag)
    ledger = ledger_of_piece(session, piece.id)
    value = None
    if gone_by(ledger, on) is None and ledger.sourced_on <= on:
        value = valued(ledger, rows_of_piece(session, piece.id), stock_of_piece(ledger, on), on)
    entered = session.execute(_ENTERED.where(WriteDown.piece_id == piece.id).order_by(WriteDown.id.desc()))
    asking = _asked_on(session, on, piece.id).get(piece.id)
    return PieceValued(piece, on, value, asking, tuple(_row(row, of) for row, of in entered))


def written_row(session: Session, write_down_id: int) -> WrittenRow:
    """One entry by its number; raises NotFound."""
    for row, piece in session.execute(_ENTERED.where(WriteDown.id == write_down_id)):
        return _row(row, piece)
    raise NotFound("write-down")


def written_down(session: Session, on: date) -> int:
    """Cents by which everything on hand at the end of a day is written down; one query."""
    return -line_total(session, WRITTEN, on, on)[1]


def _valued_pieces(
    ledgers: Iterable[PieceLedger], rows: dict[int, list[WriteDownRow]], asked: dict[int, int], on: date
) -> list[ValuedPiece]:
    by_id = {ledger.piece_id: ledger for ledger in ledgers}
    found = []
    for piece in stock_list(by_id.values(), on):
        value = valued(by_id[piece.piece_id], rows.get(piece.piece_id, ()), piece.cents, on)
        found.append(ValuedPiece(piece.piece_id, piece.tag, piece.title, value, asked.get(piece.piece_id)))
    return sorted(found, key=lambda piece: not piece.needs_a_look)


def _counting(session: Session, piece_id: int | None = None) -> dict[int, list[WriteDownRow]]:
    rows: dict[int, list[WriteDownRow]] = defaultdict(list)
    wanted = select(WriteDown).where(WriteDown.struck_at.is_(None)).order_by(WriteDown.on_date, WriteDown.id)
    if piece_id is not None:
        wanted = wanted.where(WriteDown.piece_id == piece_id)
    for row in session.scalars(wanted):
        net = net_realisable(row.price_expected_cents, row.finish_cents, row.sell_cents)
        rows[row.piece_id].append(WriteDownRow(RowRef(WRITE_DOWN, row.id), row.piece_id, row.on_date, row.cents, net))
    return rows


def _asked_on(session: Session, on: date, piece_id: int | None = None) -> dict[int, int]:
    """What was asked at the end of a day for each piece on the floor then, by piece id; one query."""
    asked = (
        select(Listing.piece_id, AskingPrice.cents)
        .join(AskingPrice, AskingPrice.listing_id == Listing.id)
        .where(Listing.listed_on <= on, or_(Listing.ended_on.is_(None), Listing.ended_on > on))
        .where(AskingPrice.on_date <= on)
        .order_by(Listing.id, AskingPrice.on_date, AskingPrice.id)
    )
    if piece_id is not None:
        asked = asked.where(Listing.piece_id == piece_id)
    return {found.piece_id: found.cents for found in session.execute(asked)}


_ENTERED = select(WriteDown, Piece).join(Piece, Piece.id == WriteDown.piece_id)


def _row(row: WriteDown, piece: Piece) -> WrittenRow:
    return WrittenRow(
        id=row.id,
        piece_id=row.piece_id,
        tag=piece.tag,
        piece_name=shown_name(piece.title, piece.form),
        on_date=row.on_date,
        price_expected_cents=row.price_expected_cents,
        finish_cents=row.finish_cents,
        sell_cents=row.sell_cents,
        cost_cents=row.cost_cents,
        cents=row.cents,
        reason=row.reason,
        made_at=row.made_at,
        struck_at=row.struck_at,
        struck_reason=row.struck_reason,
    )
