"""Read hauls: the list, and one haul with every version of its split and the share of each of its pieces."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.basics.dates import Month
from app.basics.errors import NotFound
from app.pieces.models import Haul, Piece, Purchase, Source
from app.pieces.queries.history import PurchaseRow, purchase_row
from app.pieces.queries.one import PieceRow, rows_of, rows_query
from app.pieces.rules import SPLIT_WORDS, SplitMethod, Stage, method_of
from app.shop.queries import last_closed_day


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
class HaulVersion:
    """One split of a haul: when and how it was made, each piece's share, and when and why another took its place.

    `replaced_at` and `reason` are None for the split that counts.
    """

    number: int
    made_at: datetime
    bought_on: date
    method: SplitMethod
    shares: tuple[HaulShareRow, ...]
    replaced_at: datetime | None
    reason: str | None

    @property
    def method_words(self) -> str:
        """How the price was shared."""
        return SPLIT_WORDS[self.method]

    @property
    def total_cents(self) -> int:
        """All shares, added up."""
        return sum(share.purchase.total_cents for share in self.shares)


@dataclass(frozen=True)
class HaulSheet:
    """One haul with the versions of its split, the newest first; `fixed_by` says why there can be no other."""

    haul: HaulRow
    versions: tuple[HaulVersion, ...]
    fixed_by: str

    @property
    def shares(self) -> tuple[HaulShareRow, ...]:
        """The share of each piece that counts."""
        return self.versions[0].shares

    @property
    def earlier(self) -> tuple[HaulVersion, ...]:
        """The versions that count no more, the newest first."""
        return self.versions[1:]

    @property
    def bought_on(self) -> date:
        """The day of the shares that count."""
        return self.versions[0].bought_on

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
    haul = _row(*found)
    return HaulSheet(haul=haul, versions=_versions(haul, shares), fixed_by=why_fixed(session, haul_id))


def _versions(haul: HaulRow, shares: Sequence[HaulShareRow]) -> tuple[HaulVersion, ...]:
    """All shares of a haul are struck out and entered again together, so the second row of each piece is version 2."""
    seen: dict[int, int] = defaultdict(int)
    by_number: dict[int, list[HaulShareRow]] = defaultdict(list)
    for share in shares:
        seen[share.piece.id] += 1
        by_number[seen[share.piece.id]].append(share)
    return tuple(_version(haul, number, by_number[number]) for number in sorted(by_number, reverse=True))


def _version(haul: HaulRow, number: int, shares: Sequence[HaulShareRow]) -> HaulVersion:
    first = shares[0].purchase
    guesses = [share.purchase.guess_cents for share in shares]
    prices = [share.purchase.price_cents for share in shares]
    return HaulVersion(
        number=number,
        made_at=first.made_at,
        bought_on=first.on_date,
        method=method_of(prices, guesses) if first.is_struck else haul.split,
        shares=tuple(shares),
        replaced_at=first.struck_at,
        reason=first.struck_reason,
    )


def why_fixed(session: Session, haul_id: int) -> str:
    """Why a haul can no longer be shared anew; '' while it can.

    Its day is in a closed month, or a piece of it was split (and took its share along), is sold or has left.
    """
    bought_on = session.scalar(
        select(func.min(Purchase.on_date)).where(Purchase.haul_id == haul_id, Purchase.struck_at.is_(None))
    )
    closed_through = last_closed_day(session)
    if bought_on is not None and closed_through is not None and bought_on <= closed_through:
        return f"it was bought in {Month.of(bought_on).name}, which is closed; a wrong share is corrected by itself"
    of_haul = rows_of(session, rows_query().where(Piece.haul_id == haul_id).order_by(Piece.id))
    ids = [piece.id for piece in of_haul]
    split = set(session.scalars(select(Piece.split_from_id).where(Piece.split_from_id.in_(ids))))
    return next((words for piece in of_haul if (words := _why_piece_fixes(piece, is_split=piece.id in split))), "")


def _why_piece_fixes(piece: PieceRow, *, is_split: bool) -> str:
    who = f"{piece.name} ({piece.tag})"
    if is_split:
        return f"{who} was split"
    if piece.stage is Stage.SOLD:
        return f"{who} is sold; to share anew, strike its sale out first and enter it again afterwards"
    if piece.left_as is not None:
        return f"{who} has left ({piece.left_words}); to share anew, bring it back first"
    return ""


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
