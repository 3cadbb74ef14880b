"""The pack a listing is made from: words worked out of what is known of a piece, and the order of its photos.

Nothing is said that nobody wrote down: a fact that is not known is left away. The words are ours.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final, Protocol, TypeVar

from app.basics.quantities import Units, format_dimensions
from app.photos.rules import Shows
from app.pieces.rules import AGE_WORDS, CONDITION_WORDS, FORM_WORDS, Age, Condition, Facts
from app.recipes.rules import COATINGS, PART_WORDS, PRODUCTS, Aim, LeadTest, Part, Product, Task

SCHEMA: Final = "https://schema.org"

_DONE_WORDS: Mapping[Task, str] = MappingProxyType(
    {
        Task.CLEAN: "cleaned",
        Task.STRIP: "stripped",
        Task.REPAIR: "repaired",
        Task.FILL: "filled",
        Task.SAND: "sanded",
        Task.STAIN: "stained",
        Task.SEAL: "sealed",
        Task.PRIME: "primed",
        Task.PAINT: "painted",
        Task.WASH: "washed over with thinned paint",
        Task.GLAZE: "glazed",
        Task.DISTRESS: "rubbed through at the edges",
        Task.CLEAR_COAT: "coated",
        Task.WAX: "waxed",
        Task.HARDWARE: "hardware fitted",
        Task.LINE_DRAWERS: "drawers lined",
    }
)
"""What a buyer is told of each task; a task left out is the shop's own business."""

_SAID_BY_THE_TASK: Final = frozenset({Product.CLEANER, Product.STRIPPER, Product.PAINT_WASH, Product.PASTE_WAX})
"""Products of which the word for the task says enough."""

BUYER_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "old_paint_sold": "Made before 1978 or of unknown age: old paint on it, or under the new coat, may hold lead."
        " Not for a child's room. Do not sand or scrape it; ask your local health department.",
        "tip_over": "Tall furniture can tip over: fix it to the wall with an anchor fit for it, by the anchor's"
        " instructions.",
        "children": "No test to the rules for children's products is on record here.",
        "bunk_beds": "Check rails, gaps and ladder against the rules for bunk beds before use.",
        "toy_boxes": "A falling lid can hurt a child: see that its support holds, and keep it free of locks.",
        "small_parts": "Keep small children from loose knobs, caps and magnets.",
        "glass": "Its mirror or glass may not be safety glass.",
        "electrical": "Have a licensed electrician look at old wiring before use.",
        "lifting": "Heavy: bring a second pair of hands.",
    }
)
"""The cautions a buyer should read, by the caution's key; those left out are for the shop."""

_LEAD_WORDS: Mapping[LeadTest, str] = MappingProxyType(
    {
        LeadTest.NEGATIVE: "A surface test for lead found none; only a laboratory can prove that there is none.",
        LeadTest.POSITIVE: "A test for lead found some.",
    }
)


@dataclass(frozen=True)
class WorkSaid:
    """One step that is done, as far as a listing tells it."""

    task: Task
    part: Part
    aim: Aim | None = None
    product: Product | None = None


@dataclass(frozen=True)
class PackFacts:
    """All that a listing is worked out from; `price` is the asking price in words, "" where there is none.

    `cautions` are the keys of those that matter to the piece.
    """

    tag: str
    facts: Facts
    work: tuple[WorkSaid, ...] = ()
    lead_test: LeadTest = LeadTest.NONE
    cautions: tuple[str, ...] = ()
    price: str = ""

    @property
    def is_refinished(self) -> bool:
        """Whether a coat was put on it here."""
        return any(step.task in COATINGS for step in self.work)


def listing_words(known: PackFacts) -> str:
    """The words a piece can be offered with, ready to be changed by the owner."""
    blocks = [
        _head(known.facts),
        _facts(known.facts),
        _under("What was done", [*work_words(known.work), *_own_finish(known.facts)]),
        _under("Please read", [*_lead(known.lead_test), *buyer_cautions(known.cautions)]),
        [known.price, f"Tag {known.tag}"],
    ]
    return "\n\n".join("\n".join(line for line in block if line) for block in blocks if any(block))


def _head(facts: Facts) -> list[str]:
    form = FORM_WORDS[facts.form] if facts.title else ""
    count = f"set of {facts.count}" if facts.count > 1 else ""
    return [facts.name, ", ".join(words for words in (form, count) if words).capitalize()]


def _facts(facts: Facts) -> list[str]:
    made = AGE_WORDS[facts.age] if facts.age is not Age.UNKNOWN else ""
    condition = CONDITION_WORDS[facts.condition] if facts.condition else ""
    return [
        size_words(facts),
        f"Made of: {facts.materials}" if facts.materials else "",
        f"Made: {facts.year or made}" if facts.year or made else "",
        f"When it came in: {condition}" if condition else "",
    ]


def size_words(facts: Facts) -> str:
    """The sides that are known, in inches and in centimetres; nothing where none is."""
    sides = (facts.width_mm, facts.depth_mm, facts.height_mm)
    inches, metric = (format_dimensions(*sides, units) for units in (Units.IMPERIAL, Units.METRIC))
    return f"Size: {inches} ({metric})" if inches else ""


def _under(heading: str, lines: Sequence[str]) -> list[str]:
    return [heading, *(f"- {line}" for line in lines)] if lines else []


def work_words(work: Iterable[WorkSaid]) -> list[str]:
    """What was done, part by part in the order they were first worked on; like coats in a row are counted."""
    by_part: dict[Part, list[_Said]] = {}
    for step in work:
        words = _step_words(step)
        if not words:
            continue
        said = by_part.setdefault(step.part, [])
        if said and said[-1].words == words:
            said[-1] = replace(said[-1], count=said[-1].count + 1)
        else:
            said.append(_Said(words, is_coat=step.task in COATINGS))
    return [f"{PART_WORDS[part]}: {', '.join(dict.fromkeys(map(str, said)))}" for part, said in by_part.items()]


@dataclass(frozen=True)
class _Said:
    """Like steps in a row, in words."""

    words: str
    is_coat: bool
    count: int = 1

    def __str__(self) -> str:
        return f"{self.words} ({self.count} coats)" if self.is_coat and self.count > 1 else self.words


def _step_words(step: WorkSaid) -> str:
    if step.aim is Aim.TAKE_OFF:
        return ""
    words = _DONE_WORDS.get(step.task, "")
    if step.task is Task.CLEAR_COAT and step.product is None:
        return "clear coated"
    if not words or step.product is None or step.product in _SAID_BY_THE_TASK:
        return words
    return f"{words} with {_lowered(PRODUCTS[step.product].words)}"


def _lowered(words: str) -> str:
    return words[:1].lower() + words[1:]


def _own_finish(facts: Facts) -> list[str]:
    return [f"Finish: {facts.finish_words}"] if facts.finish_words else []


def _lead(test: LeadTest) -> list[str]:
    return [_LEAD_WORDS[test]] if test in _LEAD_WORDS else []


def buyer_cautions(keys: Iterable[str]) -> list[str]:
    """The cautions a buyer should read, in words for them."""
    return [BUYER_WORDS[key] for key in keys if key in BUYER_WORDS]


class Shown(Protocol):
    """A photo as far as its place in a pack goes."""

    @property
    def shows(self) -> Shows:
        """What it shows."""
        ...


P = TypeVar("P", bound=Shown)

FOR_BUYERS: Final = (Shows.LISTING, Shows.FINISHED)


def in_pack_order(photos: Iterable[P]) -> list[P]:
    """Those for listing first, then those of the piece finished, then the others in the owner's order; no receipts."""
    kept = [photo for photo in photos if photo.shows is not Shows.RECEIPT]
    first = [photo for shows in FOR_BUYERS for photo in kept if photo.shows is shows]
    return first + [photo for photo in kept if photo.shows not in FOR_BUYERS]


def likely_photos(photos: Sequence[P]) -> list[P]:
    """Those a buyer should see: for listing and finished, all where there is none of these."""
    best = [photo for photo in photos if photo.shows in FOR_BUYERS]
    return best or list(photos)


@dataclass(frozen=True)
class Offer:
    """What is asked now: the amount with its decimals, the currency's code, and whether somebody has it on hold."""

    price: str
    currency: str
    is_held: bool = False


def product_data(known: PackFacts, words: str, images: Sequence[str], offer: Offer | None) -> dict[str, object]:
    """A listing for machines: a Product of schema.org, with an Offer only where a price is asked."""
    data: dict[str, object] = {
        "@context": SCHEMA,
        "@type": "Product",
        "name": known.facts.name,
        "description": words,
        "sku": known.tag,
        "itemCondition": f"{SCHEMA}/{_condition(known)}",
    }
    if images:
        data["image"] = list(images)
    if offer is not None:
        availability = "LimitedAvailability" if offer.is_held else "InStock"
        data["offers"] = {
            "@type": "Offer",
            "price": offer.price,
            "priceCurrency": offer.currency,
            "availability": f"{SCHEMA}/{availability}",
            "itemCondition": data["itemCondition"],
        }
    return data


def _condition(known: PackFacts) -> str:
    if known.is_refinished:
        return "RefurbishedCondition"
    return "DamagedCondition" if known.facts.condition in {Condition.D, Condition.E} else "UsedCondition"
