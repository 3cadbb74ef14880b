"""Photos for tests: pictures drawn on the spot, written as a camera would write them."""

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from PIL import ExifTags, Image
from sqlalchemy.orm import Session

from app.photos.actions import attach_photo
from app.photos.models import Photo
from app.photos.rules import Shows
from app.photos.store import keep

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
RED = (200, 30, 30)
BLUE = (30, 30, 200)


def a_picture(width: int = 40, height: int = 20, *, colour: tuple[int, int, int] = RED) -> Image.Image:
    """A red picture (or another colour) with a blue first quarter at the upper left, so that its way up shows."""
    picture = Image.new("RGB", (width, height), colour)
    picture.paste(BLUE, (0, 0, width // 2, height // 2))
    return picture


def photo_bytes(
    width: int = 40,
    height: int = 20,
    *,
    kind: str = "JPEG",
    colour: tuple[int, int, int] = RED,
    orientation: int = 1,
    taken: str | None = None,
    offset: str | None = None,
) -> bytes:
    """A photo as a phone sends it, with what its camera wrote into it."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    details = exif.get_ifd(ExifTags.IFD.Exif)
    if taken:
        details[ExifTags.Base.DateTimeOriginal] = taken
    if offset:
        details[ExifTags.Base.OffsetTimeOriginal] = offset
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (39.0, 44.0, 21.0)
    out = BytesIO()
    a_picture(width, height, colour=colour).save(out, kind, exif=exif)
    return out.getvalue()


def a_photo(
    session: Session,
    photo_dir: Path,
    piece_id: int | None,
    *,
    colour: tuple[int, int, int] = RED,
    shows: Shows = Shows.PIECE,
    now: datetime = NOW,
) -> Photo:
    """A photo of a piece (or a receipt), kept in the folder and attached."""
    stored = keep(photo_dir, BytesIO(photo_bytes(colour=colour)), "photo.jpg")
    return attach_photo(session, stored, piece_id=piece_id, shows=shows, now=now)
