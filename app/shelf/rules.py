"""What stands on the shelf, and how it leaves: classes, units, and the moving average."""

from enum import StrEnum


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
