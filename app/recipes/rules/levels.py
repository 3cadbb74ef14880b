"""How serious a finding is."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class Level(StrEnum):
    """Stop: almost sure to fail, or dangerous. Warn: often goes wrong. Note: worth knowing."""

    STOP = "stop"
    WARN = "warn"
    NOTE = "note"


LEVEL_WORDS: Mapping[Level, str] = MappingProxyType({Level.STOP: "Stop", Level.WARN: "Take care", Level.NOTE: "Note"})
