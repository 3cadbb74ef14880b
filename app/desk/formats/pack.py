"""The pack of a listing as one file: its words, its photos in order, and its data for machines."""

import json
import zipfile
from collections.abc import Mapping
from datetime import datetime
from io import BytesIO


def image_names(count: int) -> list[str]:
    """What the photos of a pack are called, so that they sort in their order: 01.jpg, 02.jpg and so on."""
    digits = max(2, len(str(count)))
    return [f"{number:0{digits}d}.jpg" for number in range(1, count + 1)]


def write_pack(words: str, data: object, pictures: Mapping[str, bytes], *, written_at: datetime) -> bytes:
    """A zip of listing.txt, listing.json and the photos by their names; `written_at` is the shop's own time."""
    body = BytesIO()
    with zipfile.ZipFile(body, "w") as pack:
        for name, text in (
            ("listing.txt", f"{words}\n"),
            ("listing.json", json.dumps(data, ensure_ascii=False, indent=2) + "\n"),
        ):
            pack.writestr(_entry(name, written_at), text.encode(), zipfile.ZIP_DEFLATED)
        # Photos are as small as they get: only put in.
        for name, picture in pictures.items():
            pack.writestr(_entry(name, written_at), picture, zipfile.ZIP_STORED)
    return body.getvalue()


def _entry(name: str, written_at: datetime) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, written_at.timetuple()[:6])
    entry.external_attr = 0o644 << 16
    return entry
