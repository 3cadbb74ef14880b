"""Activities of the trade, and what a running timer may do."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class Activity(StrEnum):
    """What the owner did with the time."""

    SOURCING = "sourcing"
    CLEANING = "cleaning"
    REPAIR = "repair"
    STRIPPING = "stripping"
    SANDING = "sanding"
    FINISHING = "finishing"
    HARDWARE = "hardware"
    LISTING = "listing"
    DELIVERY = "delivery"


ACTIVITY_WORDS: Mapping[Activity, str] = MappingProxyType(
    {
        Activity.SOURCING: "Sourcing",
        Activity.CLEANING: "Cleaning",
        Activity.REPAIR: "Repair",
        Activity.STRIPPING: "Stripping",
        Activity.SANDING: "Sanding",
        Activity.FINISHING: "Finishing",
        Activity.HARDWARE: "Hardware",
        Activity.LISTING: "Photos and listing",
        Activity.DELIVERY: "Delivery",
    }
)
