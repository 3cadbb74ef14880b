"""Photos for tests: pictures drawn on the spot, written as a camera would write them."""

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import exifread
from PIL import ExifTags, Image, PngImagePlugin
from sqlalchemy.orm import Session

from app.photos.actions import attach_photo
from app.photos.models import Photo
from app.photos.rules import Shows
from app.photos.store import FORMATS, keep

NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
RED = (200, 30, 30)
BLUE = (30, 30, 200)

# A picture 40 by 20 whose upper left quarter is blue, as a camera held in each of eight ways writes it.
UNTURN = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}

PLACE = "39 deg 44 min planted place"
CAMERA = "PLANTED-CAMERA"
SERIAL = "PLANTED-SERIAL-7731"
MAKER_NOTE = "PLANTED-MAKER-NOTE"
PACKET = "PLANTED-XMP-PACKET"
COMMENT = "PLANTED-COMMENT"
IPTC = "PLANTED-IPTC-CAPTION"
PLANTED = (PLACE, CAMERA, SERIAL, MAKER_NOTE, PACKET, COMMENT, IPTC)
MARKS = (b"Exif\x00\x00", b"EXIF", b"XMP ", b"ICCP", b"xpacket", b"8BIM", b"eXIf", b"tEXt", b"iTXt", b"zTXt")
"""Words no picture that is shown or sent may hold, and how the blocks begin that cameras hide them in."""


def a_picture(width: int = 40, height: int = 20, *, colour: tuple[int, int, int] = RED) -> Image.Image:
    """A red picture (or another colour) with a blue first quarter at the upper left, so that its way up shows."""
    picture = Image.new("RGB", (width, height), colour)
    picture.paste(BLUE, (0, 0, width // 2, height // 2))
    return picture


def is_blue(pixel: object) -> bool:
    """Whether a pixel lies in the blue quarter."""
    assert isinstance(pixel, tuple)
    return bool(pixel[2] > pixel[0])


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
    a_picture(width, height, colour=colour).save(out, kind, exif=exif.tobytes())
    return out.getvalue()


def telling_photo(kind: str, width: int = 2000, height: int = 1200) -> bytes:
    """A photo that tells all it can: place, camera, serial number, maker's note, XMP and a comment in its kind's way.

    `kind` is JPEG (with IPTC besides), PNG, WEBP or HEIF.
    """
    told: dict[str, object] = {"exif": _telling_exif()}
    packet = f"<?xpacket begin=''?><rdf>{PACKET} {COMMENT}</rdf><?xpacket end='w'?>".encode()
    if kind == "PNG":
        text = PngImagePlugin.PngInfo()
        text.add_text("Comment", COMMENT)
        text.add_itxt("Packet", packet.decode())
        told["pnginfo"] = text
    else:
        told["xmp"] = packet
    if kind == "JPEG":
        told["comment"] = COMMENT.encode()
    if kind == "WEBP":
        # Pillow takes one such beginning off; the reader looks for it.
        told["exif"] = b"Exif\x00\x00" + _telling_exif()
    out = BytesIO()
    a_picture(width, height).save(out, kind, **told)
    return _with_iptc(out.getvalue()) if kind == "JPEG" else out.getvalue()


def _telling_exif() -> bytes:
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = CAMERA
    details = exif.get_ifd(ExifTags.IFD.Exif)
    details[ExifTags.Base.BodySerialNumber] = SERIAL
    details[ExifTags.Base.MakerNote] = MAKER_NOTE.encode()
    details[ExifTags.Base.DateTimeOriginal] = "2026:11:25 14:05:00"
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", (39.0, 44.0, 21.0)
    place[ExifTags.GPS.GPSMapDatum] = PLACE
    return exif.tobytes()


def _with_iptc(jpeg: bytes) -> bytes:
    """The JPEG with a caption in the segment that IPTC uses (marker APP13), right behind its beginning."""
    words = IPTC.encode()
    body = b"8BIM\x04\x04\x00\x00\x1c\x02\x78" + len(words).to_bytes(2) + words
    return jpeg[:2] + b"\xff\xed" + (len(body) + 2).to_bytes(2) + body + jpeg[2:]


def what_it_tells(image: bytes) -> list[str]:
    """All that a picture tells beyond itself: planted words, hidden blocks, and what an independent reader finds.

    The reader is exifread, which shares no code with the library that draws; every picture shown or sent gives [].
    It does not find what the HEICs of these tests hold; none is ever sent.
    """
    found = [words for words in PLANTED if words.encode() in image]
    found += [mark.decode() for mark in MARKS if mark in image]
    with Image.open(BytesIO(image), formats=FORMATS) as picture:
        if picture.format != "HEIF":
            found += sorted(exifread.process_file(BytesIO(image)))
        found += [name for name in ("exif", "xmp", "comment", "icc_profile") if picture.info.get(name)]
    return found


def a_photo(
    session: Session,
    photo_dir: Path,
    piece_id: int | None,
    *,
    colour: tuple[int, int, int] = RED,
    shows: Shows = Shows.FOUND,
    body: bytes | None = None,
    now: datetime = NOW,
) -> Photo:
    """A photo of a piece (or a receipt), kept in the folder and attached."""
    stored = keep(photo_dir, BytesIO(body or photo_bytes(colour=colour)), "photo.jpg")
    return attach_photo(session, stored, piece_id=piece_id, shows=shows, now=now)
