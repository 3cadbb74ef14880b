"""What a photo may be: kinds accepted, limits, sizes shown."""

from enum import StrEnum


class Shows(StrEnum):
    """What a photo shows."""

    PIECE = "piece"
    RECEIPT = "receipt"


MOST_BYTES = 25 * 1024 * 1024
MOST_PIXELS = 50_000_000
MOST_AT_ONCE = 20
SIZES = {"large": 1600, "small": 320}
