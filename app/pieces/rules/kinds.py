"""What a piece may be: the owner's words for stages, forms, ages, conditions and ways to leave."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class Stage(StrEnum):
    """The five stages a piece moves through."""

    SOURCED = "sourced"
    PREPPED = "prepped"
    FINISHED = "finished"
    LISTED = "listed"
    SOLD = "sold"


class Leaving(StrEnum):
    """How a piece leaves without a sale."""

    KEPT = "kept"
    GIVEN_AWAY = "given_away"
    SCRAPPED = "scrapped"


class StepKind(StrEnum):
    """What sort of move a step was."""

    START = "start"
    FORWARD = "forward"
    BACK = "back"
    SALE = "sale"
    SALE_STRUCK = "sale_struck"
    RETURN = "return"
    RETURN_STRUCK = "return_struck"
    OUT = "out"
    IN_AGAIN = "in_again"


class Form(StrEnum):
    """What sort of furniture it is, as far as its outline tells."""

    CHEST = "chest"
    DRESSER = "dresser"
    NIGHTSTAND = "nightstand"
    TABLE = "table"
    SIDE_TABLE = "side_table"
    DESK = "desk"
    CHAIR = "chair"
    STOOL = "stool"
    BENCH = "bench"
    BOOKCASE = "bookcase"
    CABINET = "cabinet"
    SIDEBOARD = "sideboard"
    WARDROBE = "wardrobe"
    BED = "bed"
    MIRROR = "mirror"
    TRUNK = "trunk"
    OTHER = "other"


class Condition(StrEnum):
    """How worn a piece is when it comes in; five steps of common practice, no standard exists."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"
    E = "E"


class Age(StrEnum):
    """Made before 1978, when lead in paint was not yet banned in the United States, or after, or unknown."""

    BEFORE_1978 = "before_1978"
    AFTER_1978 = "after_1978"
    UNKNOWN = "unknown"


class PurchaseKind(StrEnum):
    """How a piece came: bought, free, or owned already when the shop's books began."""

    BOUGHT = "bought"
    FREE = "free"
    OPENING = "opening"


class SplitMethod(StrEnum):
    """How the price of a haul is shared over its pieces."""

    GUESS = "guess"
    EQUAL = "equal"
    BY_HAND = "by_hand"


STAGE_ORDER: tuple[Stage, ...] = tuple(Stage)

FORM_WORDS: Mapping[Form, str] = MappingProxyType(
    {
        Form.CHEST: "Chest of drawers",
        Form.DRESSER: "Dresser",
        Form.NIGHTSTAND: "Nightstand",
        Form.TABLE: "Table",
        Form.SIDE_TABLE: "Side table",
        Form.DESK: "Desk",
        Form.CHAIR: "Chair",
        Form.STOOL: "Stool",
        Form.BENCH: "Bench seat",
        Form.BOOKCASE: "Bookcase",
        Form.CABINET: "Cabinet",
        Form.SIDEBOARD: "Sideboard",
        Form.WARDROBE: "Wardrobe",
        Form.BED: "Bed",
        Form.MIRROR: "Mirror",
        Form.TRUNK: "Trunk",
        Form.OTHER: "Something else",
    }
)

LEAVING_WORDS: Mapping[Leaving, str] = MappingProxyType(
    {Leaving.KEPT: "kept", Leaving.GIVEN_AWAY: "given away", Leaving.SCRAPPED: "scrapped"}
)

CONDITION_WORDS: Mapping[Condition, str] = MappingProxyType(
    {
        Condition.A: "needs no repair",
        Condition.B: "sound, light wear",
        Condition.C: "sound, plain wear or small repairs",
        Condition.D: "works after repair",
        Condition.E: "for parts",
    }
)

AGE_WORDS: Mapping[Age, str] = MappingProxyType(
    {Age.BEFORE_1978: "before 1978", Age.AFTER_1978: "1978 or after", Age.UNKNOWN: "not known"}
)

SPLIT_WORDS: Mapping[SplitMethod, str] = MappingProxyType(
    {
        SplitMethod.GUESS: "By my guess of what each will sell for",
        SplitMethod.EQUAL: "Equally",
        SplitMethod.BY_HAND: "By hand",
    }
)


def shown_name(title: str, form: Form) -> str:
    """What a piece is called: its title, or the words for its form when it has none."""
    return title or FORM_WORDS[form]


def is_lead_possible(age: Age) -> bool:
    """Whether old paint on the piece may hold lead: made before 1978, or nobody knows when."""
    return age is not Age.AFTER_1978
