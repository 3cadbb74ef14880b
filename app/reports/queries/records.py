"""Check the records the books are read from against each other: each finding counts what contradicts itself."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, case, exists, func, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session, aliased

from app.costs.models import Adjustment, CostLine
from app.floor.models import Listing
from app.photos.models import Photo, ReplacedReceipt
from app.photos.rules import Shows
from app.pieces.models import Haul, LeavingRow, Piece, Purchase, Step
from app.pieces.rules import Stage, StepKind
from app.reports.models import WriteDown
from app.reports.rules import Finding
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund, SaleReturn
from app.shelf.models import ShelfCount, ShelfPurchase, ShelfUse
from app.shop.queries import last_closed_day
from app.timelog.models import TimeEntry
from app.trips.models import Trip


def record_findings(session: Session) -> list[Finding]:
    """Every identity of the records; the left side counts what breaks it, the right side is always 0."""
    found = [
        _pieces(session, "Pieces whose stage is not that of their last step", _stage_is_not_last_step()),
        _pieces(session, "Pieces on the floor without exactly one open listing, or off it with one", _listing_wrong()),
        _pieces(session, "Pieces sold without exactly one sale that stands, or not sold with one", _sale_wrong()),
        _pieces(session, "Pieces that left without one leaving that stands, or are here with one", _left_wrong()),
        _pieces(
            session,
            "Pieces without exactly one purchase that counts, or split off or struck out with one",
            _purchase_wrong(),
        ),
    ]
    found += _hauls(session)
    found += _bounds(session)
    found += _steps(session)
    found += _struck(session)
    found += _receipts(session)
    found += _corrections(session)
    written_down = select(Piece.tag).join(WriteDown, WriteDown.piece_id == Piece.id)
    counting = written_down.where(WriteDown.struck_at.is_(None), Piece.struck_at.is_not(None))
    found.append(_none("Write-downs of a piece that was struck out", session.scalars(counting).all()))
    return found


def _pieces(session: Session, name: str, broken: ColumnElement[bool]) -> Finding:
    return _none(name, session.scalars(select(Piece.tag).where(broken).order_by(Piece.tag)).all())


def _none(name: str, tags: Sequence[str]) -> Finding:
    return Finding(name, len(tags), 0, not tags, tuple(dict.fromkeys(tags)))


def _how_many(wanted: Select[Any]) -> ColumnElement[int]:
    return wanted.correlate(Piece).scalar_subquery()


def _stage_is_not_last_step() -> ColumnElement[bool]:
    counting = select(func.max(Step.id)).where(Step.piece_id == Piece.id, Step.struck_at.is_(None))
    newest = counting.correlate(Piece).scalar_subquery()
    return ~exists().where(Step.id == newest, Step.to_stage == Piece.stage)


def _listing_wrong() -> ColumnElement[bool]:
    is_listed = and_(Piece.stage == Stage.LISTED, Piece.left_as.is_(None))
    is_open = select(func.count(Listing.id)).where(Listing.piece_id == Piece.id, Listing.ended_on.is_(None))
    return _how_many(is_open) != case((is_listed, 1), else_=0)


def _sale_wrong() -> ColumnElement[bool]:
    came_back = exists().where(SaleReturn.sale_id == Sale.id, SaleReturn.struck_at.is_(None))
    stands = select(func.count(Sale.id)).where(Sale.piece_id == Piece.id, Sale.struck_at.is_(None), ~came_back)
    return _how_many(stands) != case((Piece.stage == Stage.SOLD, 1), else_=0)


def _left_wrong() -> ColumnElement[bool]:
    stands = select(func.count(LeavingRow.id)).where(LeavingRow.piece_id == Piece.id, LeavingRow.back_on.is_(None))
    same = exists().where(
        LeavingRow.piece_id == Piece.id, LeavingRow.back_on.is_(None), LeavingRow.how == Piece.left_as
    )
    return or_(
        _how_many(stands) != case((Piece.left_as.is_not(None), 1), else_=0), and_(Piece.left_as.is_not(None), ~same)
    )


def _purchase_wrong() -> ColumnElement[bool]:
    counting = select(func.count(Purchase.id)).where(Purchase.piece_id == Piece.id, Purchase.struck_at.is_(None))
    is_bought = and_(Piece.split_from_id.is_(None), Piece.struck_at.is_(None))
    return _how_many(counting) != case((is_bought, 1), else_=0)


def _hauls(session: Session) -> Iterator[Finding]:
    """What a haul cost against the shares of its pieces: price, premium and tax each by itself."""
    pairs: tuple[tuple[str, InstrumentedAttribute[int], InstrumentedAttribute[int]], ...] = (
        ("price", Haul.price_cents, Purchase.price_cents),
        ("premium", Haul.premium_cents, Purchase.premium_cents),
        ("tax", Haul.tax_cents, Purchase.tax_cents),
    )
    shares = (
        select(Purchase.haul_id, *(func.sum(share).label(word) for word, _, share in pairs))
        .where(Purchase.struck_at.is_(None))
        .group_by(Purchase.haul_id)
        .subquery()
    )
    for word, whole, _ in pairs:
        sums = select(func.sum(whole), func.sum(shares.c[word])).outerjoin(shares, shares.c.haul_id == Haul.id)
        paid, shared = session.execute(sums).one()
        wrong = select(Piece.tag).join(Haul, Haul.id == Piece.haul_id).outerjoin(shares, shares.c.haul_id == Haul.id)
        tags = session.scalars(wrong.where(whole != func.coalesce(shares.c[word], 0))).all()
        holds = not tags and (paid or 0) == (shared or 0)
        yield Finding(f"Hauls and the shares of their pieces: {word}", paid or 0, shared or 0, holds, tuple(tags))


def _bounds(session: Session) -> Iterator[Finding]:
    brought = Sale.price_cents + Sale.delivery_charged_cents
    sale = select(Piece.tag).join(Sale, Sale.piece_id == Piece.id).where(Sale.struck_at.is_(None))
    beyond = or_(Sale.price_cents <= 0, Sale.fees_cents > brought, Sale.tax_cents > brought)
    yield _none(
        "Sales for nothing, or with more fees or tax than they brought", session.scalars(sale.where(beyond)).all()
    )
    early = sale.where(Sale.sold_on < Piece.sourced_on)
    yield _none("Sales dated before the piece was found", session.scalars(early).all())
    back = sale.join(SaleReturn, SaleReturn.sale_id == Sale.id).where(SaleReturn.struck_at.is_(None))
    too_much = or_(
        SaleReturn.refund_cents > brought,
        SaleReturn.tax_refunded_cents > Sale.tax_cents,
        SaleReturn.fees_back_cents > Sale.fees_cents,
        SaleReturn.delivery_back_cents > Sale.delivery_paid_cents,
    )
    yield _none("Returns that give back more than their sale brought", session.scalars(back.where(too_much)).all())
    before = back.where(SaleReturn.returned_on < Sale.sold_on)
    yield _none("Returns dated before their sale", session.scalars(before).all())
    returned = select(Piece.tag).join(Sale, Sale.piece_id == Piece.id).join(SaleReturn, SaleReturn.sale_id == Sale.id)
    of_struck = returned.where(SaleReturn.struck_at.is_(None), Sale.struck_at.is_not(None))
    yield _none("Returns that count although their sale is struck out", session.scalars(of_struck).all())


def _steps(session: Session) -> Iterator[Finding]:
    """Every sale, return and leaving of a piece has its step: their order is told by the steps."""
    returned = select(func.count(SaleReturn.id)).join(Sale, Sale.id == SaleReturn.sale_id)
    rows = {
        "sale": (StepKind.SALE, select(func.count(Sale.id)).where(Sale.piece_id == Piece.id)),
        "return": (StepKind.RETURN, returned.where(Sale.piece_id == Piece.id)),
        "leaving": (StepKind.OUT, select(func.count(LeavingRow.id)).where(LeavingRow.piece_id == Piece.id)),
        "coming back": (
            StepKind.IN_AGAIN,
            select(func.count(LeavingRow.id)).where(LeavingRow.piece_id == Piece.id, LeavingRow.back_on.is_not(None)),
        ),
    }
    for word, (kind, made) in rows.items():
        steps = select(func.count(Step.id)).where(Step.piece_id == Piece.id, Step.kind == kind)
        yield _pieces(session, f"Pieces with a {word} without its step", _how_many(made) != _how_many(steps))


def _struck(session: Session) -> Iterator[Finding]:
    """A row struck out says when and why; one that counts says neither."""
    for word, table in (
        ("Pieces", Piece),
        ("Steps", Step),
        ("Purchases", Purchase),
        ("Cost lines", CostLine),
        ("Time entries", TimeEntry),
        ("Sales", Sale),
        ("Returns", SaleReturn),
        ("Refunds in part", SaleRefund),
        ("Deposits", Deposit),
        ("Endings of deposits", DepositEnd),
        ("Purchases for the shelf", ShelfPurchase),
        ("Uses of the shelf", ShelfUse),
        ("Counts of the shelf", ShelfCount),
        ("Trips", Trip),
        ("Corrections", Adjustment),
        ("Write-downs", WriteDown),
    ):
        half = table.struck_at.is_(None) != table.struck_reason.is_(None)
        wrong = session.scalar(select(func.count(table.id)).where(half)) or 0
        yield Finding(f"{word} struck out without a reason, or with one and not struck out", wrong, 0, wrong == 0)


def _receipts(session: Session) -> Iterator[Finding]:
    """A receipt belongs, or belonged until it was replaced, to a cost line, a purchase for the shelf or a trip."""
    may_have_one: tuple[tuple[str, Any], ...] = (
        ("Cost lines", CostLine),
        ("Purchases for the shelf", ShelfPurchase),
        ("Trips", Trip),
    )
    named = []
    for word, table in may_have_one:
        receipt = aliased(Photo)
        shown = exists().where(receipt.id == table.receipt_photo_id, receipt.shows == Shows.RECEIPT)
        lost = select(func.count(table.id)).where(
            table.receipt_photo_id.is_not(None), ~shown.where(receipt.removed_at.is_(None))
        )
        wrong = session.scalar(lost) or 0
        yield Finding(f"{word} whose receipt is gone", wrong, 0, wrong == 0)
        named.append(exists().where(table.receipt_photo_id == Photo.id))
    named.append(exists().where(ReplacedReceipt.photo_id == Photo.id))
    orphans = select(func.count(Photo.id)).where(Photo.shows == Shows.RECEIPT, Photo.removed_at.is_(None), ~or_(*named))
    wrong = session.scalar(orphans) or 0
    yield Finding("Receipts without a cost line, a purchase for the shelf or a trip", wrong, 0, wrong == 0)


# What a correction may correct, and the day of such a row.
_CORRECTABLE: Mapping[str, tuple[Any, InstrumentedAttribute[date]]] = {
    "purchase": (Purchase, Purchase.on_date),
    "cost_line": (CostLine, CostLine.on_date),
    "sale": (Sale, Sale.sold_on),
    "sale_return": (SaleReturn, SaleReturn.returned_on),
    "sale_refund": (SaleRefund, SaleRefund.on_date),
    "shelf_purchase": (ShelfPurchase, ShelfPurchase.on_date),
    "shelf_use": (ShelfUse, ShelfUse.on_date),
    "shelf_count": (ShelfCount, ShelfCount.on_date),
    "trip": (Trip, Trip.on_date),
}


def _corrections(session: Session) -> Iterator[Finding]:
    """A correction that counts names a row that counts, by its day, and that day lies in a closed month."""
    counting = select(func.count(Adjustment.id)).where(Adjustment.struck_at.is_(None))
    there = [
        and_(
            Adjustment.corrects_table == name,
            exists().where(
                table.id == Adjustment.corrects_id, table.struck_at.is_(None), day == Adjustment.corrects_on
            ),
        )
        for name, (table, day) in _CORRECTABLE.items()
    ]
    lost = session.scalar(counting.where(~or_(*there))) or 0
    yield Finding("Corrections of a row that is not there on that day, or is struck out", lost, 0, lost == 0)
    closed = last_closed_day(session)
    still_open = counting if closed is None else counting.where(Adjustment.corrects_on > closed)
    wrong = session.scalar(still_open) or 0
    yield Finding("Corrections of a row that is not in a closed month", wrong, 0, wrong == 0)
