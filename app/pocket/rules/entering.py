"""What becomes of a capture's words when it is entered, and where its refusals belong."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from types import MappingProxyType
from typing import Final

from app.basics.errors import RuleError
from app.pocket.rules.contents import CannotBeEntered, FieldTrouble, FoundPiece

PAID_IS_MISSING: Final = "Paid is not written down yet"
"""What comes next on a find whose price the phone did not say: entered as nothing, it must not be taken for free."""

CLOCKS_AGREE_WITHIN: Final = timedelta(days=1)

_MEMBER_OF: Mapping[str, str] = MappingProxyType(
    {"title": "what", "notes": "note", "bought_on": "on_date", "source": "where", "kind": "cost_kind", "piece": "tag"}
)
_SAME_NAME: Final = frozenset({"paid", "form", "on_date", "amount", "minutes", "activity", "note", "tag"})


def notes_of(found: FoundPiece, reference: str, *, is_place_known: bool) -> str:
    """A find's notes: the owner's own, the place if no source goes by its name, and the reference for ever."""
    lines = [found.note]
    if found.where and not is_place_known:
        lines.append(f"Found at: {found.where}")
    lines.append(f"Written down on the phone as {reference}.")
    return "\n".join(line for line in lines if line)


def refused_at(refusal: RuleError) -> CannotBeEntered:
    """The refusal of another room, told at the capture's own field where there is one."""
    if isinstance(refusal, CannotBeEntered):
        return refusal
    name = refusal.field or ""
    member = _MEMBER_OF.get(name, name if name in _SAME_NAME else "")
    return CannotBeEntered([FieldTrouble(member, refusal.message)])


def do_clocks_differ(captured_at: datetime, received_at: datetime) -> bool:
    """Whether phone and home say moments more than a day apart: the capture waited long, or a clock is wrong."""
    return abs(received_at - captured_at) > CLOCKS_AGREE_WITHIN
