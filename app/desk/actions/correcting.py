"""Correct an amount of a row that stands in a closed month, by a difference dated in an open one."""

from collections.abc import Mapping
from datetime import date, datetime
from uuid import NAMESPACE_URL, uuid5

from sqlalchemy.orm import Session

from app.basics.dates import day_in_words
from app.basics.errors import RuleError, StaleEdit
from app.basics.money import currency_places, money_plain
from app.costs.actions import add_adjustment
from app.costs.actions import strike_adjustment as strike_alone
from app.costs.models import Adjustment
from app.costs.rules import AdjustedPart, NewAdjustment, differences
from app.desk.queries.correctable import RowSheet
from app.desk.queries.corrections import row_to_correct
from app.pieces.actions.ground import the_shop
from app.pieces.rules import require_capture_id
from app.shop.queries import last_closed_day


def correct_closed_row(
    session: Session,
    table: str,
    row_id: int,
    should_be: Mapping[AdjustedPart, int],
    *,
    on_date: date,
    reason: str,
    capture_id: str,
    now: datetime,
    version: int | None = None,
) -> list[Adjustment]:
    """Write down what the amounts of a row should have been, in cents: the differences count from `on_date` on.

    The row stays as it is; earlier corrections count with it. Refuses a row in an open month or struck out, one
    without amounts, amounts below zero, a day in a closed month or to come, a missing reason, and what changes
    nothing (RuleError); raises NotFound, and StaleEdit when the row was corrected since `version`.
    """
    require_capture_id(capture_id)
    sheet = row_to_correct(session, table, row_id)
    require_correctable(sheet, last_closed_day(session))
    if version is not None and version != sheet.version:
        raise StaleEdit("row", _says(session, sheet), sheet.version)
    wanted = [
        found
        for amount in sheet.amounts
        if amount.part in should_be
        for found in differences(amount, should_be[amount.part])
    ]
    if not wanted:
        raise RuleError("Nothing changes by this: type what an amount should have been.")
    return [
        add_adjustment(
            session,
            NewAdjustment(piece_id, part, cents, on_date, table, row_id, sheet.on_date, reason),
            capture_id=str(uuid5(NAMESPACE_URL, f"{capture_id}/{part}/{piece_id}")),
            now=now,
        )
        for piece_id, part, cents in wanted
    ]


def _says(session: Session, sheet: RowSheet) -> dict[str, str]:
    places = currency_places(the_shop(session).currency)
    return {amount.label: money_plain(amount.now, places) for amount in sheet.amounts}


def require_correctable(sheet: RowSheet, closed_through: date | None) -> None:
    """Refuse a row that carries no amount, is struck out, or stands in an open month (RuleError)."""
    if sheet.cannot:
        raise RuleError(sheet.cannot)
    if sheet.struck_reason is not None:
        raise RuleError(f"This row is struck out and counts for nothing: {sheet.struck_reason}")
    if closed_through is None or sheet.on_date > closed_through:
        raise RuleError(
            f"It is dated {day_in_words(sheet.on_date)}, in a month that is open. Put it right on its own page instead."
        )


def strike_correction(session: Session, adjustment_id: int, *, reason: str, now: datetime) -> list[Adjustment]:
    """Strike a correction out, with what was entered with it; the row says again what it said without them.

    Refuses what would leave an amount below zero because of a later correction, one struck out before, one in a
    month closed since, and a missing reason (RuleError); raises NotFound.
    """
    struck = strike_alone(session, adjustment_id, reason=reason, now=now)
    sheet = row_to_correct(session, struck[0].corrects_table, struck[0].corrects_id)
    if any(amount.now < 0 for amount in sheet.amounts):
        raise RuleError("A later correction stands on this one. Strike that out first.")
    return struck
