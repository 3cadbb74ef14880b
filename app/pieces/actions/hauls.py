"""Put a haul right as a whole: every share is struck out and entered again, as a new version of its split."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.basics.dates import day_in_words
from app.basics.errors import NotFound, RuleError, StaleEdit
from app.basics.money import currency_places, money_plain
from app.basics.striking import reason_to_keep
from app.pieces.actions.dating import redate
from app.pieces.actions.entering import haul_note, require_bought_in_time, shares_of
from app.pieces.actions.ground import bump, shop_day, the_shop, write_source
from app.pieces.actions.purchases import (
    WHAT_WAS_WRONG,
    add_purchase,
    counting_purchase_row,
    strike_purchase,
)
from app.pieces.models import Haul, Piece
from app.pieces.queries import why_fixed
from app.pieces.rules import HaulCorrection, SplitMethod


def correct_haul(
    session: Session, haul_id: int, correction: HaulCorrection, *, version: int | None, now: datetime
) -> Haul:
    """Enter a haul's day, place, amounts and shares again; the shares that counted are struck out.

    The shares that counted stay as an earlier version of the split. Refuses a haul of which a piece was split, is
    sold or has left, one bought in a closed month, what `log_haul` refuses, a day after a piece's first step, and a
    missing reason. Raises StaleEdit when the haul changed since `version`.
    """
    haul = _haul_to_change(session, haul_id, version)
    fixed_by = why_fixed(session, haul_id)
    if fixed_by:
        raise RuleError(f"The shares of this haul stand as they are, because {fixed_by}.")
    reason = reason_to_keep(correction.reason, WHAT_WAS_WRONG)
    require_bought_in_time(session, correction.bought_on, shop_day(session, now))
    pieces = list(session.scalars(select(Piece).where(Piece.haul_id == haul_id).order_by(Piece.id)))
    amounts = [correction.amounts.get(piece.id) for piece in pieces]
    kind, shares = shares_of(session, correction, amounts)
    for piece, share, amount in zip(pieces, shares, amounts, strict=True):
        _date_and_place(session, piece, correction, now)
        purchase = counting_purchase_row(session, piece.id)
        if purchase is not None:
            strike_purchase(session, purchase, reason=reason, now=now)
        add_purchase(
            session,
            piece,
            share,
            kind=kind,
            on_date=correction.bought_on,
            now=now,
            haul_id=haul.id,
            guess_cents=amount if correction.split is SplitMethod.GUESS else None,
        )
    _write(haul, correction)
    session.flush()
    return haul


def _haul_to_change(session: Session, haul_id: int, version: int | None) -> Haul:
    haul = session.get(Haul, haul_id)
    if haul is None:
        raise NotFound("haul")
    if version is not None and haul.version != version:
        places = currency_places(the_shop(session).currency)
        now_values = {
            "Bought on": day_in_words(haul.bought_on),
            "Price": money_plain(haul.price_cents, places),
            "Buyer's premium": money_plain(haul.premium_cents, places),
            "Sales tax": money_plain(haul.tax_cents, places),
        }
        raise StaleEdit("haul", now_values, haul.version)
    return haul


def _date_and_place(session: Session, piece: Piece, correction: HaulCorrection, now: datetime) -> None:
    if piece.sourced_on != correction.bought_on:
        try:
            redate(session, piece, correction.bought_on, {}, takes_purchase_along=False, now=now)
        except RuleError as refusal:
            raise RuleError(f"{piece.tag}: {refusal.message}", "bought_on") from refusal
    write_source(session, piece, correction.source_id, now)


def _write(haul: Haul, correction: HaulCorrection) -> None:
    haul.bought_on = correction.bought_on
    haul.source_id = correction.source_id
    haul.price_cents = correction.price_cents
    haul.premium_cents = correction.premium_cents
    haul.tax_cents = correction.tax_cents
    haul.split = correction.split
    haul.note = haul_note(correction.note)
    bump(haul, "note")
