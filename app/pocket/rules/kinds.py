"""What a capture may be and how it stands."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class CaptureKind(StrEnum):
    """What a phone wrote down."""

    FIND = "find"
    COST = "cost"
    TIME = "time"


class CaptureState(StrEnum):
    """How a capture stands at home.

    WAITING lacks photos that are still on the phone, HOME was entered, HELD was brought by a rescue file but refused,
    DROPPED was let go by the owner with a reason.
    """

    WAITING = "waiting"
    HOME = "home"
    HELD = "held"
    DROPPED = "dropped"


KIND_WORDS: Mapping[CaptureKind, str] = MappingProxyType(
    {CaptureKind.FIND: "Find", CaptureKind.COST: "Cost", CaptureKind.TIME: "Time"}
)

STATE_WORDS: Mapping[CaptureState, str] = MappingProxyType(
    {
        CaptureState.HELD: "Needs you",
        CaptureState.WAITING: "Waits for its photos",
        CaptureState.HOME: "Entered",
        CaptureState.DROPPED: "Let go",
    }
)
"""How a capture stands, in the order in which they are listed."""
