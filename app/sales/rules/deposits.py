"""Deposits: money taken towards a piece, owed to its payer until it is applied to the sale, given back or kept."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.basics.dates import day_in_words, require_not_before, require_not_future
from app.basics.errors import RuleError
from app.basics.striking import reason_to_keep
from app.pieces.rules import LEAVING_WORDS, CannotMove, Leaving, Stage

WHY_KEPT: Final = "Say why it is kept; a few words will do."


class DepositEnding(StrEnum):
    """What became of a deposit."""

    APPLIED = "applied"
    REFUNDED = "refunded"
    KEPT = "kept"


ENDING_WORDS: Mapping[DepositEnding, str] = MappingProxyType(
    {
        DepositEnding.APPLIED: "Applied to the sale",
        DepositEnding.REFUNDED: "Given back",
        DepositEnding.KEPT: "Kept",
    }
)

BY_HAND: Final = (DepositEnding.REFUNDED, DepositEnding.KEPT)
"""How the owner ends a deposit; applying it is part of recording the sale."""


@dataclass(frozen=True)
class NewDeposit:
    """A deposit as it is told, in cents."""

    piece_id: int
    payer: str
    on_date: date
    amount_cents: int
    note: str = ""


@dataclass(frozen=True)
class NewEnd:
    """What becomes of a deposit, or of a part of it, in cents."""

    deposit_id: int
    how: DepositEnding
    on_date: date
    cents: int
    reason: str = ""


@dataclass(frozen=True)
class StandingDeposit:
    """A deposit that still stands: who paid it, on which day, and what of it is owed, in cents."""

    id: int
    payer: str
    on_date: date
    left_cents: int


def require_depositable(stage: Stage, left_as: Leaving | None) -> None:
    """Refuse a deposit on a piece that is not on hand (CannotMove)."""
    if left_as is not None:
        raise CannotMove(f"It has left ({LEAVING_WORDS[left_as]}). A deposit is taken on a piece that is here.")
    if stage is Stage.SOLD:
        raise CannotMove("It is sold. A deposit is taken on a piece that is here.")


def require_sound_deposit(new: NewDeposit, *, sourced_on: date, books_begin: date | None, today: date) -> None:
    """Refuse a deposit from nobody, of nothing, or on a day that cannot be (RuleError, at the field)."""
    if not new.payer:
        raise RuleError("Say who paid it.", "payer")
    if new.amount_cents <= 0:
        raise RuleError("Type how much was paid.", "amount")
    require_not_future(new.on_date, today, "on_date")
    require_not_before(new.on_date, sourced_on, "on_date", "the day the piece was found")
    if books_begin is not None:
        require_not_before(new.on_date, books_begin, "on_date", "the day your books began")


def require_sound_end(new: NewEnd, *, taken_on: date, left_cents: int, today: date) -> None:
    """Refuse to end a deposit for more than is left of it, on a day that cannot be, or to keep it without a reason.

    Each at its field (RuleError).
    """
    if new.how not in BY_HAND:
        raise RuleError("Choose whether it is given back or kept.", "how")
    if left_cents <= 0:
        raise RuleError("Nothing is left of this deposit.")
    if new.cents <= 0:
        raise RuleError("Type how much of it.", "amount")
    if new.cents > left_cents:
        raise RuleError("That is more than is left of the deposit.", "amount")
    require_not_future(new.on_date, today, "on_date")
    require_not_before(new.on_date, taken_on, "on_date", "the day it was taken")
    if new.how is DepositEnding.KEPT:
        reason_to_keep(new.reason, WHY_KEPT)


def require_applicable(
    standing: Iterable[StandingDeposit], chosen: Iterable[int], *, sold_on: date, due_cents: int
) -> tuple[StandingDeposit, ...]:
    """The deposits chosen, as a sale applies them: each in full.

    Refuses a sale that would leave a deposit standing on a piece gone, one dated before a deposit it takes in,
    and deposits of more than the buyer owes (RuleError).
    """
    wanted = set(chosen)
    standing = tuple(standing)
    if wanted - {deposit.id for deposit in standing}:
        raise RuleError("A deposit chosen here stands no more. Look at the deposits again.", "deposits")
    for deposit in standing:
        if deposit.id not in wanted:
            raise RuleError(
                f"A deposit of {deposit.payer} would be left over. Apply it, or first give it back or keep it.",
                "deposits",
            )
        if deposit.on_date > sold_on:
            raise RuleError(
                f"The deposit of {deposit.payer} was taken after that, on {day_in_words(deposit.on_date)}.", "sold_on"
            )
    if sum(deposit.left_cents for deposit in standing) > due_cents:
        raise RuleError(
            "The deposits are more than the buyer owes. First give back or keep what is too much.", "deposits"
        )
    return standing


def require_no_deposit(payers: Iterable[str]) -> None:
    """Refuse to let a piece go on which deposits stand; `payers` are those who paid them (RuleError)."""
    names = ", ".join(payers)
    if names:
        raise RuleError(f"A deposit stands on it: {names}. Give it back or keep it first.")


def require_end_strikable(how: DepositEnding, *, is_on_hand: bool) -> None:
    """Refuse to strike out what its sale did, and what would leave a deposit on a piece that is gone (RuleError)."""
    if how is DepositEnding.APPLIED:
        raise RuleError("It was applied to a sale that counts. Strike out that sale if it was a mistake.")
    if not is_on_hand:
        raise RuleError("The piece is gone, so no deposit can stand on it. Strike out its sale or bring it back first.")
