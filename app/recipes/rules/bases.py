"""What a product is thinned with and dries by: what may go over what hangs on it."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class Base(StrEnum):
    """What carries a coating."""

    WATERBORNE = "waterborne"
    OIL = "oil"
    SHELLAC = "shellac"
    LACQUER = "lacquer"
    WAX = "wax"
    OTHER = "other"


BASE_WORDS: Mapping[Base, str] = MappingProxyType(
    {
        Base.WATERBORNE: "Waterborne",
        Base.OIL: "Oil or alkyd",
        Base.SHELLAC: "Shellac",
        Base.LACQUER: "Lacquer",
        Base.WAX: "Wax",
        Base.OTHER: "Something else",
    }
)
