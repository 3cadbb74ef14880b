"""Read hauls: the list, and one haul with the share of each of its pieces."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.errors import NotFound
from app.pieces.models import Haul, Piece, Purchase, Source
from app.pieces.queries.history import PurchaseRow, purchase_row
from app.pieces.queries.one import PieceRow, rows_of, rows_query
from app.pieces.rules import SPLIT_WORDS, SplitMethod


@dataclass(frozen=True)
class HaulRow:
    """One haul with its sums, in cents."""

    id: int
    version: int
    bought_on: date
    source_id: int | None
    source_name: str
    price_cents: int
    premium_cents: int
    tax_cents: int
    split: SplitMethod
    note: str
    pieces: int

    @property
    def total_cents(self) -> int:
        """Price, premium and tax together."""
        return self.price_cents + self.premium_cents + self.tax_cents

    @property
    def split_words(self) -> str:
        """How the price was shared."""
        return SPLIT_WORDS[self.split]


@dataclass(frozen=True)
class HaulShareRow:
    """One piece of a haul and its share; `purchase` is the row that counts."""

    piece: PieceRow
    purchase: PurchaseRow


@dataclass(frozen=True)
class HaulSheet:
    """One haul, the share of each piece, and the shares that were struck out."""

    haul: HaulRow
    shares: tuple[HaulShareRow, ...]
    struck: tuple[HaulShareRow, ...]
    fixed_by: str

    @property
    def gone(self) -> tuple[PieceRow, ...]:
        """The pieces that are sold or have left: what they made or took along changes with their shares."""
        return tuple(share.piece for share in self.shares if not share.piece.is_on_hand)

    @property
    def price_cents(self) -> int:
        """The shares of the price, added up."""
        return sum(share.purchase.price_cents for share in self.shares)

    @property
    def premium_cents(self) -> int:
        """The shares of the premium, added up."""
        return sum(share.purchase.premium_cents for share in self.shares)

    @property
    def tax_cents(self) -> int:
        """The shares of the tax, added up."""
        return sum(share.purchase.tax_cents for share in self.shares)

    @property
    def total_cents(self) -> int:
        """All shares, added up."""
        return self.price_cents + self.premium_cents + self.tax_cents


def hauls(session: Session, *, limit: int | None = None, offset: int = 0) -> list[HaulRow]:
    """The hauls, newest first; one query."""
    query = _rows_query().order_by(Haul.bought_on.desc(), Haul.id.desc()).limit(limit).offset(offset)
    return [_row(haul, source_name, pieces) for haul, source_name, pieces in session.execute(query)]


def count_hauls(session: Session) -> int:
    """How many hauls there are."""
    return session.scalar(select(func.count(Haul.id))) or 0


def haul_sheet(session: Session, haul_id: int) -> HaulSheet:
    """One haul with its pieces; NotFound when there is none."""
    found = session.execute(_rows_query().where(Haul.id == haul_id)).first()
    if found is None:
        raise NotFound("haul")
    pieces = {piece.id: piece for piece in rows_of(session, rows_query().where(Piece.haul_id == haul_id))}
    purchases = session.scalars(select(Purchase).where(Purchase.haul_id == haul_id).order_by(Purchase.id))
    shares = [HaulShareRow(pieces[row.piece_id], purchase_row(row)) for row in purchases]
    return HaulSheet(
        haul=_row(*found),
        shares=tuple(share for share in shares if not share.purchase.is_struck),
        struck=tuple(share for share in shares if share.purchase.is_struck),
        fixed_by=why_fixed(session, haul_id),
    )


def why_fixed(session: Session, haul_id: int) -> str:
    """Why a haul can no longer be shared anew: a piece of it was split, and took its share along; else ''."""
    of_haul = select(Piece.id).where(Piece.haul_id == haul_id)
    split = select(Piece.split_from_id).where(Piece.split_from_id.in_(of_haul))
    found = rows_of(session, rows_query().where(Piece.id.in_(split)).order_by(Piece.id).limit(1))
    return f"{found[0].name} ({found[0].tag}) was split" if found else ""


def _rows_query() -> Any:
    pieces = select(func.count(Piece.id)).where(Piece.haul_id == Haul.id).scalar_subquery()
    return select(Haul, Source.name, pieces).outerjoin(Source, Haul.source_id == Source.id)


def _row(haul: Haul, source_name: str | None, pieces: int) -> HaulRow:
    return HaulRow(
        id=haul.id,
        version=haul.version,
        bought_on=haul.bought_on,
        source_id=haul.source_id,
        source_name=source_name or "",
        price_cents=haul.price_cents,
        premium_cents=haul.premium_cents,
        tax_cents=haul.tax_cents,
        split=haul.split,
        note=haul.note,
        pieces=pieces,
    )
