"""What a trip is for, how it counts, and the published mileage rates."""

from enum import StrEnum


class TripPurpose(StrEnum):
    """What a trip was for."""

    FETCH = "fetch"
    DELIVER = "deliver"
    SUPPLIES = "supplies"
    LOOK = "look"
    OTHER = "other"


class CountsAs(StrEnum):
    """How a trip counts: at the rate of its day, or at what it really cost. Never both."""

    RATE = "rate"
    ACTUAL = "actual"


class DistanceUnit(StrEnum):
    """In what the distance is told."""

    MILE = "mi"
    KM = "km"
