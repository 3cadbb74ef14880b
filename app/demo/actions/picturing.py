"""Put photos on the demo's pieces: plain shapes, drawn when they are loaded."""

from collections.abc import Mapping
from datetime import datetime
from io import BytesIO
from types import MappingProxyType

from PIL import ExifTags, Image, ImageColor, ImageDraw

from app.demo.actions.entering import DemoShop, known
from app.demo.rules import PhotoRecord, View
from app.photos.actions import attach_photo, describe_photo, put_in_front
from app.photos.rules import Shows
from app.photos.store import keep
from app.pieces.rules import Form

WIDTH, HEIGHT, FLOOR = 480, 360, 285
OFFSET = slice(-6, None)
"""Where an instant in ISO 8601 says how far its clock is off UTC, like -07:00."""

INK = (41, 34, 27)
GROUNDS: Mapping[Shows, tuple[str, str]] = MappingProxyType(
    {
        Shows.FOUND: ("#8f8b80", "#5f5a50"),
        Shows.DURING: ("#b9b2a4", "#8c8375"),
        Shows.FINISHED: ("#e6ddcb", "#b79f78"),
        Shows.LISTING: ("#dfe3da", "#a88e68"),
    }
)
"""The wall and the floor behind a piece: a barn, the workshop, and where it is shown."""

CUTS: Mapping[View, tuple[int, int, int, int]] = MappingProxyType(
    {View.CLOSE: (140, 150, 300, 270), View.FOOT: (60, 195, 220, 315)}
)
"""What a photo from nearer by shows of the picture: left, top, right and bottom in pixels."""

FRONTS: Mapping[Form, tuple[int, int]] = MappingProxyType(
    {Form.CABINET: (2, 1), Form.WARDROBE: (3, 1), Form.SIDEBOARD: (3, 2), Form.DESK: (3, 3), Form.NIGHTSTAND: (1, 2)}
)
"""How many doors or drawers stand beside and over each other; any other form has one column of four."""


def add_photo(shop: DemoShop, row: PhotoRecord, now: datetime) -> None:
    """Draw a photo of a piece, keep it in the photo folder and put it on the piece (RuleError as the rooms refuse)."""
    piece = known(shop.pieces, row.piece, "piece")
    body = draw_piece(piece.form, row.colour, row.shows)
    photo = attach_photo(
        shop.session, keep(shop.photo_dir, BytesIO(body), "drawn"), piece_id=piece.id, shows=row.shows, now=now
    )
    describe_photo(shop.session, photo.id, shows=row.shows, caption=row.caption)
    if row.shows is Shows.FINISHED:
        # What is for sale wears its best face on the floor.
        put_in_front(shop.session, photo.id)


def draw_piece(
    form: Form, colour: str, shows: Shows, *, view: View = View.WHOLE, taken_at: datetime | None = None
) -> bytes:
    """A piece before a wall as a JPEG: worn where it was found, its drawers out while it is worked on.

    `taken_at` is written into it the way a camera does, with the offset from UTC of the place.
    """
    picture = _picture(form, colour, shows)
    if view in CUTS:
        picture = picture.crop(CUTS[view]).resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC)
    out = BytesIO()
    picture.save(out, "JPEG", exif=_camera_facts(taken_at))
    return out.getvalue()


def _picture(form: Form, colour: str, shows: Shows) -> Image.Image:
    wall, ground = GROUNDS[shows]
    picture = Image.new("RGB", (WIDTH, HEIGHT), wall)
    pen = ImageDraw.Draw(picture)
    pen.rectangle((0, FLOOR - 40, WIDTH, HEIGHT), fill=ground)
    columns, rows = FRONTS.get(form, (1, 4))
    half, top = 60 + 35 * columns, FLOOR - 45 - 38 * rows
    left, right = WIDTH // 2 - half, WIDTH // 2 + half
    wood = ImageColor.getrgb(colour)
    for foot in (left + 8, right - 24):
        pen.rectangle((foot, FLOOR - 20, foot + 16, FLOOR + 12), fill=wood, outline=INK, width=2)
    pen.rectangle((left, top, right, FLOOR - 15), fill=wood, outline=INK, width=3)
    pen.rectangle((left - 10, top - 12, right + 10, top), fill=wood, outline=INK, width=3)
    _draw_fronts(pen, (left + 12, top + 12, right - 12, FLOOR - 27), (columns, rows), is_out=shows is Shows.DURING)
    if shows is Shows.FOUND:
        for scratch in range(left + 20, right - 30, 37):
            pen.line((scratch, top + 20 + scratch % 60, scratch + 26, top + 34 + scratch % 60), fill=wall, width=3)
    return picture


def _camera_facts(taken_at: datetime | None) -> Image.Exif:
    facts = Image.Exif()
    if taken_at is not None:
        details = facts.get_ifd(ExifTags.IFD.Exif)
        details[ExifTags.Base.DateTimeOriginal] = f"{taken_at:%Y:%m:%d %H:%M:%S}"
        details[ExifTags.Base.OffsetTimeOriginal] = taken_at.isoformat()[OFFSET]
    return facts


def _draw_fronts(
    pen: ImageDraw.ImageDraw, box: tuple[int, int, int, int], grid: tuple[int, int], *, is_out: bool
) -> None:
    left, top, right, bottom = box
    columns, rows = grid
    wide, high = (right - left) / columns, (bottom - top) / rows
    for place in range(columns * rows):
        x, y = left + place % columns * wide, top + place // columns * high
        pen.rectangle((x + 3, y + 3, x + wide - 3, y + high - 3), fill=INK if is_out else None, outline=INK, width=2)
        pen.ellipse((x + wide / 2 - 4, y + high / 2 - 4, x + wide / 2 + 4, y + high / 2 + 4), fill=INK)
