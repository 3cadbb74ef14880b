"""Classes of materials, the units they are counted in, and why the shelf gives cost away."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class MaterialClass(StrEnum):
    """What a material is for."""

    CLEANER = "cleaner"
    STRIPPER = "stripper"
    ABRASIVE = "abrasive"
    FILLER = "filler"
    SEALER = "sealer"
    PRIMER = "primer"
    PAINT = "paint"
    WASH = "wash"
    GLAZE = "glaze"
    STAIN = "stain"
    WAX = "wax"
    CLEAR_COAT = "clear_coat"
    HARDWARE = "hardware"
    LINING = "lining"
    SUNDRIES = "sundries"


class Unit(StrEnum):
    """In what a material is counted; quantities are held in thousandths of it."""

    ML = "ml"
    G = "g"
    SHEET = "sheet"
    EACH = "each"


class ChargeKind(StrEnum):
    """Why the shelf gave cost away."""

    USE = "use"
    SETTLEMENT = "settlement"
    COUNT = "count"


class RowKind(StrEnum):
    """What happens to a material on the shelf, in the order it counts within a day."""

    BOUGHT = "bought"
    USED = "used"
    COUNTED = "counted"


CLASS_WORDS: Mapping[MaterialClass, str] = MappingProxyType(
    {
        MaterialClass.CLEANER: "Cleaner",
        MaterialClass.STRIPPER: "Stripper",
        MaterialClass.ABRASIVE: "Abrasive",
        MaterialClass.FILLER: "Filler",
        MaterialClass.SEALER: "Sealer",
        MaterialClass.PRIMER: "Primer",
        MaterialClass.PAINT: "Paint",
        MaterialClass.WASH: "Wash",
        MaterialClass.GLAZE: "Glaze",
        MaterialClass.STAIN: "Stain",
        MaterialClass.WAX: "Wax",
        MaterialClass.CLEAR_COAT: "Clear coat",
        MaterialClass.HARDWARE: "Hardware",
        MaterialClass.LINING: "Lining",
        MaterialClass.SUNDRIES: "Sundries",
    }
)

UNIT_WORDS: Mapping[Unit, str] = MappingProxyType(
    {
        Unit.ML: "By volume",
        Unit.G: "By weight",
        Unit.SHEET: "By the sheet",
        Unit.EACH: "One by one",
    }
)
