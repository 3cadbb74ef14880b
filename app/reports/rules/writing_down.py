"""What a piece will still bring, and what must be written down where it cost more: apart from the stock at cost."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from app.basics.dates import day_in_words, require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.striking import reason_to_keep
from app.reports.rules.ledger import PieceLedger, RowRef
from app.reports.rules.ownership import absences, gone_by

WHY_SO_LITTLE = "Say what makes you expect that; a few words will do."


@dataclass(frozen=True)
class NewWriteDown:
    """What a piece is expected to bring on a day, in cents, and what that rests on."""

    piece_id: int
    on_date: date
    price_expected_cents: int
    finish_cents: int
    sell_cents: int
    reason: str

    @property
    def net_cents(self) -> int:
        """What will be left of the price."""
        return net_realisable(self.price_expected_cents, self.finish_cents, self.sell_cents)


@dataclass(frozen=True, slots=True)
class WriteDownRow:
    """A piece taken down (above zero) or back up (below zero) on a day; `net` is what it was expected to bring."""

    row: RowRef
    piece_id: int
    on: date
    cents: int
    net: int


@dataclass(frozen=True, slots=True)
class Valuation:
    """What a piece stands at on a day, in cents: at cost, what it is written down by, and what it was said to bring.

    `net` is None where nobody has said. A write-down ends when the piece goes: one that comes back stands at cost.
    """

    cost: int
    written: int
    net: int | None

    @property
    def lower(self) -> int:
        """The lower of cost and what it will bring, as far as it was written down."""
        return self.cost - self.written

    @property
    def change(self) -> int:
        """What would have to be written down more (below zero: back up) on what was said last."""
        return 0 if self.net is None else change_needed(self.cost, self.net, self.written)


def net_realisable(price_expected: int, cost_to_finish: int = 0, cost_to_sell: int = 0) -> int:
    """What will be left of the price, in cents, after finishing and selling; below zero where those cost more.

    Refuses an amount below zero (ValueError).
    """
    if min(price_expected, cost_to_finish, cost_to_sell) < 0:
        raise ValueError("A price and what it takes to get it are never below zero.")
    return price_expected - cost_to_finish - cost_to_sell


def write_down_needed(cost: int, net: int) -> int:
    """Cents by which the cost is above what will be left; 0 where it is not. Never more than the cost itself."""
    return max(cost - max(net, 0), 0)


def change_needed(cost: int, net: int, written: int) -> int:
    """What has to be written down more, or back up (below zero), of a piece written down by `written` so far.

    A piece never goes up by more than it was written down.
    """
    return write_down_needed(cost, net) - written


def valued(ledger: PieceLedger, rows: Iterable[WriteDownRow], cost: int, day: date) -> Valuation:
    """What a piece that stands at `cost` is written down by at the end of the day; nothing once it is gone."""
    standing = standing_rows(ledger, rows, day)
    net = standing[-1].net if standing else None
    return Valuation(cost, sum(row.cents for row in standing), net)


def standing_rows(ledger: PieceLedger, rows: Iterable[WriteDownRow], day: date) -> list[WriteDownRow]:
    """The rows, in their order, that count for a piece at the end of a day: those since it last came back."""
    if gone_by(ledger, day) is not None:
        return []
    came_back = [absence.back for absence in absences(ledger) if absence.back is not None and absence.back <= day]
    since = max(came_back, default=date.min)
    return sorted((row for row in rows if since <= row.on <= day), key=lambda row: (row.on, row.row))


def require_here(ledger: PieceLedger, day: date) -> None:
    """Refuse a day on which the piece was not here yet, or at whose end it was gone (RuleError)."""
    require_not_before(day, ledger.sourced_on, "on_date", "the day the piece was found")
    if gone_by(ledger, day) is not None:
        raise RuleError(
            f"At the end of {day_in_words(day)} the piece was gone. Only what is here can be written down.", "on_date"
        )


def require_sound_write_down(new: NewWriteDown, *, today: date, last_on: date | None) -> None:
    """Refuse a day to come, one before the piece's last row, an amount below zero, and no reason (RuleError)."""
    require_not_future(new.on_date, today, "on_date")
    if last_on is not None:
        require_not_before(new.on_date, last_on, "on_date", "the day it was last written down or up")
    amounts = {"price_expected": new.price_expected_cents, "finish": new.finish_cents, "sell": new.sell_cents}
    for field, cents in amounts.items():
        if cents < 0:
            raise RuleError("An amount here is never below zero.", field)
    reason_to_keep(new.reason, WHY_SO_LITTLE)


def require_change(valuation: Valuation, net: int) -> int:
    """The change that is needed; refuses where what the piece will bring changes nothing (RuleError)."""
    change = change_needed(valuation.cost, net, valuation.written)
    if change == 0:
        so_far = "stays as it is" if valuation.written else "need not be written down"
        raise RuleError(f"On these figures the piece {so_far}. There is nothing to save.", "price_expected")
    return change


def require_newest(on: date, newest_on: date, *, is_newest: bool) -> None:
    """Refuse to strike out a row on which a newer one of the piece rests (RuleError)."""
    if not is_newest:
        raise RuleError(
            f"The one of {day_in_words(newest_on)} rests on this one of {day_in_words(on)}. Strike out that one first."
        )
