"""Read all that happened to a piece, newest first: steps, listings, holds, sales, deposits, corrections, splits."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import String, literal, select, type_coerce, union_all
from sqlalchemy.orm import Session

from app.basics.dates import local_day
from app.floor.models import Hold
from app.floor.queries import ListingSheet, listings_of
from app.pieces.queries import (
    CorrectionRow,
    LeavingSheet,
    PurchaseRow,
    TransferRow,
    corrections_of,
    leavings_of,
)
from app.pieces.rules import FACT_LABELS, PurchaseKind, Stage, StepKind, StepRow
from app.recipes.queries import FinishSheet
from app.recipes.rules import FINISH_STATE_WORDS
from app.sales.models import Deposit, DepositEnd, Sale, SaleRefund
from app.sales.queries import SaleRow
from app.shelf.models import Material, ShelfPurchase


class Happening(StrEnum):
    """What sort of thing happened; the page puts it into words."""

    FOUND = "found"
    MOVED = "moved"
    BACK = "back"
    LEFT = "left"
    IN_AGAIN = "in_again"
    PAID = "paid"
    LISTED = "listed"
    ASKED = "asked"
    HELD = "held"
    LIFTED = "lifted"
    SOLD = "sold"
    RETURNED = "returned"
    CORRECTED = "corrected"
    SAID = "said"
    SPLIT = "split"
    PARTS_OFF = "parts_off"
    DEPOSIT = "deposit"
    DEPOSIT_ENDED = "deposit_ended"
    REFUNDED = "refunded"
    FINISH_BEGUN = "finish_begun"
    FINISH_ENDED = "finish_ended"


@dataclass(frozen=True)
class HistoryLine:
    """One thing that happened, on a day; amounts in cents. `words` names what or whom, `note` says why.

    `was_cents` is the amount before; `sale_id`, `tag`, `deposit_id`, `material_id` or `finish_id` is what the line
    opens; a struck line says its reason.
    """

    what: Happening
    on: date
    at: datetime
    words: str = ""
    cents: int | None = None
    was_cents: int | None = None
    minutes: int | None = None
    until: date | None = None
    note: str = ""
    sale_id: int | None = None
    tag: str | None = None
    deposit_id: int | None = None
    material_id: int | None = None
    finish_id: int | None = None
    struck_reason: str | None = None


# What is usually said once the work is done: the first words for it put nothing right.
_SAID_LATER = frozenset({FACT_LABELS["finish_colour"], FACT_LABELS["finish_words"]})

# Listings, sales and returns tell of these themselves, with their amounts.
_TOLD_ELSEWHERE = frozenset({StepKind.SALE, StepKind.SALE_STRUCK, StepKind.RETURN, StepKind.RETURN_STRUCK})


def history_of(
    session: Session,
    piece_id: int,
    steps: Iterable[StepRow],
    sales: Iterable[SaleRow],
    zone: str,
    *,
    purchases: Iterable[PurchaseRow],
    moved: Iterable[TransferRow],
    finishes: Iterable[FinishSheet] = (),
) -> list[HistoryLine]:
    """Everything but cost lines, materials, trips and work, which have pages of their own, newest first.

    `zone` is the shop's: what carries only an instant is put on its day there.
    """
    steps = list(steps)
    lines = [
        *_step_lines(steps, leavings_of(session, piece_id)),
        *_purchase_lines(purchases),
        *_listing_lines(listings_of(session, piece_id)),
        *_hold_lines(session, piece_id, zone),
        *_sale_lines(sales),
        *_correction_lines(corrections_of(session, piece_id), zone),
        *_split_lines(moved),
        *_beside_lines(session, piece_id),
        *_finish_lines(finishes),
    ]
    # Turned round at the end: of two things entered at the same moment the later one comes first, too.
    return sorted(lines, key=lambda line: (line.on, line.at))[::-1]


def _step_lines(steps: Iterable[StepRow], leavings: list[LeavingSheet]) -> Iterator[HistoryLine]:
    ways = iter(leavings)
    for step in steps:
        if step.kind in _TOLD_ELSEWHERE or (step.kind is StepKind.FORWARD and step.to_stage is Stage.LISTED):
            continue
        if step.kind is StepKind.START:
            yield HistoryLine(Happening.FOUND, step.on_date, step.made_at, step.to_stage.value)
        elif step.kind is StepKind.OUT:
            yield HistoryLine(Happening.LEFT, step.on_date, step.made_at, next(ways).how_words, note=step.reason)
        else:
            what = {StepKind.BACK: Happening.BACK, StepKind.IN_AGAIN: Happening.IN_AGAIN}.get(
                step.kind, Happening.MOVED
            )
            yield HistoryLine(
                what,
                step.on_date,
                step.made_at,
                step.to_stage.value,
                note=step.reason,
                struck_reason=step.struck_reason,
            )


def _purchase_lines(purchases: Iterable[PurchaseRow]) -> Iterator[HistoryLine]:
    words = {PurchaseKind.BOUGHT: "", PurchaseKind.FREE: "free", PurchaseKind.OPENING: "opening"}
    for row in purchases:
        yield HistoryLine(
            Happening.PAID,
            row.on_date,
            row.made_at,
            words[row.kind],
            cents=row.total_cents,
            struck_reason=row.struck_reason,
        )


def _listing_lines(listings: Iterable[ListingSheet]) -> Iterator[HistoryLine]:
    for listing in listings:
        names = ", ".join(channel.name for channel in listing.channels)
        before: int | None = None
        for price in listing.prices:
            what = Happening.LISTED if before is None else Happening.ASKED
            words = names if before is None else ""
            yield HistoryLine(
                what, price.on_date, price.made_at, words, cents=price.cents, was_cents=before, note=price.note
            )
            before = price.cents


def _hold_lines(session: Session, piece_id: int, zone: str) -> Iterator[HistoryLine]:
    for hold in session.scalars(select(Hold).where(Hold.piece_id == piece_id).order_by(Hold.id)):
        made_on = local_day(hold.made_at, zone)
        yield HistoryLine(Happening.HELD, made_on, hold.made_at, hold.held_for, until=hold.until, note=hold.note)
        if hold.lifted_at is not None:
            yield HistoryLine(Happening.LIFTED, local_day(hold.lifted_at, zone), hold.lifted_at, hold.held_for)


def _sale_lines(sales: Iterable[SaleRow]) -> Iterator[HistoryLine]:
    for sale in sales:
        yield HistoryLine(
            Happening.SOLD,
            sale.sold_on,
            sale.made_at,
            sale.channel_name,
            cents=sale.price_cents,
            note=sale.note,
            sale_id=sale.id,
            struck_reason=sale.struck_reason,
        )
        for back in sale.returns:
            yield HistoryLine(
                Happening.RETURNED,
                back.returned_on,
                back.made_at,
                cents=back.refund_cents,
                note=back.reason,
                sale_id=sale.id,
                struck_reason=back.struck_reason,
            )


def _correction_lines(corrections: Iterable[CorrectionRow], zone: str) -> Iterator[HistoryLine]:
    for row in corrections:
        is_first = not row.was and row.fact in _SAID_LATER
        what = Happening.SAID if is_first else Happening.CORRECTED
        note = row.became if is_first else f"was {row.was or 'empty'}, now {row.became or 'empty'}"
        yield HistoryLine(what, local_day(row.made_at, zone), row.made_at, row.fact, note=note)


def _split_lines(transfers: Iterable[TransferRow]) -> Iterator[HistoryLine]:
    for row in transfers:
        yield HistoryLine(
            Happening.SPLIT,
            row.on_date,
            row.made_at,
            row.reason,
            cents=row.cents,
            minutes=row.minutes,
            tag=row.other_tag,
        )


def _beside_lines(session: Session, piece_id: int) -> Iterator[HistoryLine]:
    """Parts taken off, deposits and what became of them, and refunds in part; one query for all."""
    taken, held, end, back = ShelfPurchase, Deposit, DepositEnd, SaleRefund
    parts = select(
        *_told(Happening.PARTS_OFF, taken, (taken.price_cents, Material.name, taken.note, taken.material_id))
    )
    deposits = select(*_told(Happening.DEPOSIT, held, (held.amount_cents, held.payer, held.note, held.id)))
    how = type_coerce(end.how, String)
    ends = select(*_told(Happening.DEPOSIT_ENDED, end, (end.cents, how, end.reason, end.deposit_id)))
    refunds = select(*_told(Happening.REFUNDED, back, (back.refund_cents, literal(""), back.reason, back.sale_id)))
    found = session.execute(
        union_all(
            parts.join(Material, Material.id == taken.material_id).where(taken.from_piece_id == piece_id),
            deposits.where(held.piece_id == piece_id),
            ends.join(held, held.id == end.deposit_id).where(held.piece_id == piece_id),
            refunds.join(Sale, Sale.id == back.sale_id).where(Sale.piece_id == piece_id),
        )
    )
    for what, on, at, cents, words, note, opens, struck_reason in found:
        line = HistoryLine(Happening(what), on, at, words, cents, note=note, struck_reason=struck_reason)
        yield replace(line, **{_OPENED_BY[line.what]: opens})


def _finish_lines(finishes: Iterable[FinishSheet]) -> Iterator[HistoryLine]:
    """Each finish as it was begun, and as it was done or stopped."""
    for row in sorted(finishes, key=lambda each: each.id):
        told = [f"over {row.redo_of_name}"] if row.redo_of_id else []
        told += [f"for {row.made_for}"] if row.made_for else []
        begun, note = Happening.FINISH_BEGUN, ", ".join(told)
        yield HistoryLine(begun, row.begun_on, row.made_at, row.name, note=note, finish_id=row.id)
        if row.ended_on is not None:
            words, why = f"{FINISH_STATE_WORDS[row.state]}: {row.name}", row.stopped_reason
            yield HistoryLine(Happening.FINISH_ENDED, row.ended_on, row.made_at, words, note=why, finish_id=row.id)


_OPENED_BY = {
    Happening.PARTS_OFF: "material_id",
    Happening.DEPOSIT: "deposit_id",
    Happening.DEPOSIT_ENDED: "deposit_id",
    Happening.REFUNDED: "sale_id",
}


def _told(what: Happening, table: Any, told: tuple[Any, ...]) -> tuple[Any, ...]:
    columns = (literal(str(what)), table.on_date, table.made_at, *told, table.struck_reason)
    names = ("what", "on_date", "made_at", "cents", "words", "note", "opens", "struck_reason")
    return tuple(column.label(name) for column, name in zip(columns, names, strict=True))
