"""A printed tag as a phone meets it: pages rendered at 150 dots an inch, labels cut out of them, a smear on a code."""

import random
from collections.abc import Iterator, Sequence

import pypdfium2
import zxingcpp
from PIL import Image, ImageDraw

from app.desk.formats.tags import code_of
from app.desk.rules.tags import CodePlace, Layout, TagFace, Wish, cells_of, code_words, place_code

DOTS = 150 / 25.4
FINDER = 8
"""How many modules a square in the corner of a code takes, with its white edge."""


def some_tags(count: int, url: str | None = "https://192.168.1.20:8427", *, name: str = "Oak chest") -> list[TagFace]:
    """So many tags, each with a number of its own."""
    letters, digits = "CDFHJKMNPRTWX", "34679"
    numbers = [f"{first}{second}{digit}" for first in letters for second in letters for digit in digits][:count]
    size = "W 31 1/2 x D 18 x H 30 in"
    return [TagFace(number, name, "Chest of drawers", size, code_words(number, url)) for number in numbers]


def pages_of(body: bytes) -> list[Image.Image]:
    """Every page in grey."""
    return [page.render(scale=150 / 72).to_pil().convert("L") for page in pypdfium2.PdfDocument(body)]


def labels_of(body: bytes, tags: Sequence[TagFace], wish: Wish) -> Iterator[tuple[TagFace, Image.Image]]:
    """Each tag with its label, cut out of its page."""
    pages, (width, height) = pages_of(body), wish.on.label
    for cell in cells_of(tags, wish):
        left, top = wish.on.corner(cell.place)
        left, top = left + wish.nudge_right, top + wish.nudge_down
        right, bottom = left + width, top + height
        box = (round(left * DOTS), round(top * DOTS), round(right * DOTS), round(bottom * DOTS))
        if not cell.is_care:
            yield cell.tag, pages[cell.place // wish.on.per_sheet].crop(box)


def smeared(label: Image.Image, tag: TagFace, layout: Layout, seed: str) -> Image.Image:
    """The label with a square blotch, dark or white, over a tenth of its code, clear of the squares in its corners."""
    chance = random.Random(seed)  # noqa: S311 - a made-up smear
    place = place_code(layout, len(code_of(tag.code)))
    side = place.side * 0.1**0.5
    left, top = next(spot for spot in _spots(chance, place, side) if not _meets_a_finder(*spot, place, side))
    edges = (place.left + left, place.top + top, place.left + left + side, place.top + top + side)
    copy = label.copy()
    ImageDraw.Draw(copy).rectangle([edge * DOTS for edge in edges], fill=chance.choice((0, 255)))
    return copy


def _spots(chance: random.Random, place: CodePlace, side: float) -> Iterator[tuple[float, float]]:
    while True:
        yield chance.uniform(0, place.side - side), chance.uniform(0, place.side - side)


def _meets_a_finder(left: float, top: float, place: CodePlace, side: float) -> bool:
    finder = FINDER * place.module
    is_left, is_right = left < finder, left + side > place.side - finder
    is_high, is_low = top < finder, top + side > place.side - finder
    return (is_left and (is_high or is_low)) or (is_right and is_high)


def read_codes(picture: Image.Image) -> list[str]:
    """What a reader of another make finds in a picture."""
    return [found.text for found in zxingcpp.read_barcodes(picture)]
