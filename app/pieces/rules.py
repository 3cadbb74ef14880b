"""What a piece may be and how it may move: enums, allowed moves, tag numbers."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from enum import StrEnum
from types import MappingProxyType

from app.basics.errors import RuleError


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

# Forward moves may pass over stages (a piece can be sold as found); back moves need a reason.
# "sold" is entered only by recording a sale and left only by a return or by striking out a mistaken sale;
# "listed" is entered only by listing. The actions of those rooms see to that; `require_hand_move` guards the rest.
ALLOWED_MOVES: Mapping[Stage, frozenset[Stage]] = MappingProxyType(
    {
        Stage.SOURCED: frozenset({Stage.PREPPED, Stage.FINISHED, Stage.LISTED, Stage.SOLD}),
        Stage.PREPPED: frozenset({Stage.SOURCED, Stage.FINISHED, Stage.LISTED, Stage.SOLD}),
        Stage.FINISHED: frozenset({Stage.SOURCED, Stage.PREPPED, Stage.LISTED, Stage.SOLD}),
        Stage.LISTED: frozenset({Stage.SOURCED, Stage.PREPPED, Stage.FINISHED, Stage.SOLD}),
        Stage.SOLD: frozenset({Stage.SOURCED, Stage.PREPPED, Stage.FINISHED, Stage.LISTED}),
    }
)

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

# Read aloud and written on tape: no characters that look alike (0 O, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V)
# and no vowels, so that no tag spells a word.
TAG_DIGITS = "34679"
TAG_LETTERS = "CDFHJKMNPRTWX"
SHORT_TAG = 3
LONG_TAG = 4
# Beyond this many tags a three-character one is hard to draw fresh; four take over.
MOST_SHORT_TAGS = 1700


class CannotMove(RuleError):
    """The piece may not go from its stage to the one asked for in the way asked for."""


def is_back(from_stage: Stage, to_stage: Stage) -> bool:
    """Whether the move goes against the order of the stages."""
    return STAGE_ORDER.index(to_stage) < STAGE_ORDER.index(from_stage)


def require_move(from_stage: Stage, to_stage: Stage) -> None:
    """Refuse a move the table does not hold."""
    if to_stage not in ALLOWED_MOVES[from_stage]:
        raise CannotMove(f"A piece that is {from_stage} cannot become {to_stage}.", "to_stage")


def require_hand_move(from_stage: Stage, to_stage: Stage, reason: str) -> None:
    """Refuse a move by hand that only a sale, a return or a listing may make, or a step back without a reason."""
    require_move(from_stage, to_stage)
    if to_stage is Stage.SOLD:
        raise CannotMove("A piece becomes sold by recording its sale.", "to_stage")
    if to_stage is Stage.LISTED:
        raise CannotMove("A piece goes on the floor by listing it at a price.", "to_stage")
    if from_stage is Stage.SOLD:
        raise CannotMove("A sold piece comes back by a return, or by striking out a mistaken sale.", "to_stage")
    if is_back(from_stage, to_stage) and not reason.strip():
        raise RuleError("Say why it steps back; a few words will do.", "reason")


def require_day_in_order(on_date: date, last_step_on: date) -> None:
    """Refuse a step dated before the one it follows."""
    if on_date < last_step_on:
        raise RuleError(
            f"Its last step was on {last_step_on:%d %b %Y}; this one cannot be dated before that.", "on_date"
        )


def is_fit_tag(tag: str) -> bool:
    """Whether a drawn tag may be used: only tag characters, at least one digit and one letter."""
    return (
        len(tag) in {SHORT_TAG, LONG_TAG}
        and set(tag) <= set(TAG_DIGITS + TAG_LETTERS)
        and bool(set(tag) & set(TAG_DIGITS))
        and bool(set(tag) & set(TAG_LETTERS))
    )


def draw_tag(pick: Callable[[Sequence[str]], str], is_taken: Callable[[str], bool], tags_so_far: int) -> str:
    """A fresh tag number drawn by `pick` (such as `secrets.choice`); it encodes nothing.

    Three characters until about half of them are used, then four.
    """
    length = SHORT_TAG if tags_so_far < MOST_SHORT_TAGS else LONG_TAG
    characters = TAG_DIGITS + TAG_LETTERS
    while True:
        tag = "".join(pick(characters) for _ in range(length))
        if is_fit_tag(tag) and not is_taken(tag):
            return tag
