"""Read deposits: those of a piece, one by its number, all of them, and what is owed to those who paid them."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.models import Piece
from app.pieces.queries import PieceRow, piece_row
from app.pieces.rules import Stage, shown_name
from app.sales.models import Deposit, DepositEnd
from app.sales.rules import ENDING_WORDS, DepositEnding, StandingDeposit


@dataclass(frozen=True)
class EndRow:
    """What became of a deposit or a part of it, in cents; struck ones are flagged and no longer count."""

    id: int
    deposit_id: int
    how: DepositEnding
    on_date: date
    cents: int
    sale_id: int | None
    reason: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out as a mistake."""
        return self.struck_at is not None

    @property
    def how_words(self) -> str:
        """What became of it, as it begins a line."""
        return ENDING_WORDS[self.how]


@dataclass(frozen=True)
class DepositRow:
    """A deposit in cents with all that became of it, oldest first, and the piece it was paid for."""

    id: int
    piece_id: int
    tag: str
    piece_name: str
    payer: str
    on_date: date
    amount_cents: int
    note: str
    made_at: datetime
    struck_at: datetime | None
    struck_reason: str | None
    ends: tuple[EndRow, ...]

    @property
    def is_struck(self) -> bool:
        """Whether it was struck out as a mistake."""
        return self.struck_at is not None

    @property
    def counting_ends(self) -> tuple[EndRow, ...]:
        """What became of it and counts."""
        return tuple(end for end in self.ends if not end.is_struck)

    @property
    def left_cents(self) -> int:
        """What of it is owed to its payer still."""
        return 0 if self.is_struck else self.amount_cents - sum(end.cents for end in self.counting_ends)

    @property
    def stands(self) -> bool:
        """Whether something of it is owed."""
        return self.left_cents > 0

    @property
    def standing(self) -> StandingDeposit:
        """The deposit as a sale applies it."""
        return StandingDeposit(self.id, self.payer, self.on_date, self.left_cents)


@dataclass(frozen=True)
class AppliedRow:
    """A deposit, or what was left of it, that was applied to a sale, in cents."""

    deposit_id: int
    payer: str
    cents: int


@dataclass(frozen=True)
class DepositSheet:
    """One deposit with its piece."""

    deposit: DepositRow
    piece: PieceRow


def deposits_of(session: Session, piece_id: int) -> list[DepositRow]:
    """Every deposit on a piece, oldest first, struck ones too."""
    return _deposit_rows(session, select(Deposit).where(Deposit.piece_id == piece_id).order_by(Deposit.id))


def standing_deposits(session: Session, piece_id: int) -> list[DepositRow]:
    """The deposits on a piece of which something is owed, oldest first."""
    return [row for row in deposits_of(session, piece_id) if row.stands]


def deposit_by_id(session: Session, deposit_id: int) -> DepositRow:
    """A deposit by its number; raises NotFound."""
    for row in _deposit_rows(session, select(Deposit).where(Deposit.id == deposit_id)):
        return row
    raise NotFound("deposit")


def deposit_sheet(session: Session, deposit_id: int) -> DepositSheet:
    """A deposit with its piece; raises NotFound."""
    deposit = deposit_by_id(session, deposit_id)
    return DepositSheet(deposit, piece_row(session, deposit.piece_id))


def end_row(session: Session, end_id: int) -> EndRow:
    """What became of a deposit, by its number; raises NotFound."""
    found = session.get(DepositEnd, end_id)
    if found is None:
        raise NotFound("end of a deposit")
    return _end_row(found)


def all_deposits(session: Session) -> list[DepositRow]:
    """Every deposit, the newest day first, struck ones too; always the same number of queries."""
    return _deposit_rows(session, select(Deposit).order_by(Deposit.on_date.desc(), Deposit.id.desc()))


def applied_to(session: Session, sale_id: int) -> list[AppliedRow]:
    """The deposits applied to a sale that count."""
    wanted = (
        select(Deposit.id, Deposit.payer, DepositEnd.cents)
        .join(DepositEnd, DepositEnd.deposit_id == Deposit.id)
        .where(DepositEnd.sale_id == sale_id, DepositEnd.struck_at.is_(None))
        .order_by(DepositEnd.id)
    )
    return [AppliedRow(deposit_id, payer, cents) for deposit_id, payer, cents in session.execute(wanted)]


def deposits_owed(session: Session, day: date) -> int:
    """Cents owed to those who paid deposits at the end of a day: taken, less applied, given back and kept."""
    counts = Deposit.struck_at.is_(None)
    taken = select(func.sum(Deposit.amount_cents)).where(counts, Deposit.on_date <= day)
    ended = (
        select(func.sum(DepositEnd.cents))
        .join(Deposit, Deposit.id == DepositEnd.deposit_id)
        .where(counts, DepositEnd.struck_at.is_(None), DepositEnd.on_date <= day)
    )
    return (session.scalar(taken) or 0) - (session.scalar(ended) or 0)


def is_on_hand(session: Session, piece_id: int) -> bool:
    """Whether a piece is here: neither sold nor left nor struck out."""
    piece = session.get_one(Piece, piece_id)
    return piece.stage is not Stage.SOLD and piece.left_as is None and piece.struck_at is None


def _deposit_rows(session: Session, wanted: Select[Any]) -> list[DepositRow]:
    named = wanted.add_columns(Piece.tag, Piece.title, Piece.form).join(Piece, Piece.id == Deposit.piece_id)
    deposits = session.execute(named).all()
    ends = _ends_of(session, [deposit.id for deposit, *_named in deposits]) if deposits else {}
    return [
        DepositRow(
            id=deposit.id,
            piece_id=deposit.piece_id,
            tag=tag,
            piece_name=shown_name(title, form),
            payer=deposit.payer,
            on_date=deposit.on_date,
            amount_cents=deposit.amount_cents,
            note=deposit.note,
            made_at=deposit.made_at,
            struck_at=deposit.struck_at,
            struck_reason=deposit.struck_reason,
            ends=tuple(ends.get(deposit.id, ())),
        )
        for deposit, tag, title, form in deposits
    ]


def _ends_of(session: Session, deposit_ids: Sequence[int]) -> dict[int, list[EndRow]]:
    found: dict[int, list[EndRow]] = defaultdict(list)
    wanted = select(DepositEnd).where(DepositEnd.deposit_id.in_(deposit_ids)).order_by(DepositEnd.id)
    for end in session.scalars(wanted):
        found[end.deposit_id].append(_end_row(end))
    return found


def _end_row(end: DepositEnd) -> EndRow:
    return EndRow(
        id=end.id,
        deposit_id=end.deposit_id,
        how=end.how,
        on_date=end.on_date,
        cents=end.cents,
        sale_id=end.sale_id,
        reason=end.reason,
        made_at=end.made_at,
        struck_at=end.struck_at,
        struck_reason=end.struck_reason,
    )
