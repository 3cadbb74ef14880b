"""Striking out: a row that was wrong counts no more, and stays in sight with its reason."""

from app.basics.errors import RuleError
from app.basics.words import REASON_LIMIT, clean_line

WHY_STRUCK = "Say why it is struck out; a few words will do."


class AlreadyStruck(RuleError):
    """The row was struck out before; it says so and why."""


def require_not_struck(what: str, struck_reason: str | None) -> None:
    """Refuse to strike out what was struck out before; `what` names it: "line" (AlreadyStruck)."""
    if struck_reason is not None:
        raise AlreadyStruck(f"This {what} is struck out already: {struck_reason}")


def reason_to_keep(reason: str, ask: str = WHY_STRUCK) -> str:
    """The reason as it is kept; refuses, at "reason", one too long, and none at all in the words of `ask`."""
    try:
        kept = clean_line(reason, REASON_LIMIT)
    except RuleError as refusal:
        raise RuleError(refusal.message, "reason") from refusal
    if not kept:
        raise RuleError(ask, "reason")
    return kept
