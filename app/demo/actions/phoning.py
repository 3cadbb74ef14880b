"""Bring home what the phone of the demo's owner wrote down, and lay its photos on the pile."""

from collections.abc import Mapping
from datetime import datetime
from io import BytesIO
from typing import Any

from app.basics.errors import RuleError
from app.basics.money import currency_places
from app.demo.actions.entering import DemoShop, known
from app.demo.actions.picturing import draw_piece
from app.demo.rules import CaptureRecord, PiledPhotoRecord
from app.photos.actions import lay_on_pile
from app.photos.rules import Shows, StoredPhoto
from app.photos.store import keep
from app.pieces.rules import Form
from app.pocket.actions import hold_capture, receive_capture
from app.pocket.rules import CannotBeEntered
from app.shop.models import Shop

TYPED = ("kind", "what", "form", "paid", "where", "tag", "amount", "cost_kind", "minutes", "activity", "note")
"""The members of a capture that the files tell in the phone's own words."""


def take_in_capture(shop: DemoShop, row: CaptureRecord, now: datetime) -> None:
    """Take a capture in as a rescue file does: entered, or held with what the ledger refuses of it.

    Raises CannotBeEntered for one that was not meant to be held, and RuleError for one that was and can be entered.
    """
    photos = [_photo_of(shop, row)] if row.colour else []
    data, arrived = _said(shop, row, photos), {photo.sha256: photo for photo in photos}
    try:
        with shop.session.begin_nested():
            _receive(shop, row, data, arrived, now)
    except CannotBeEntered as refusal:
        if not row.is_held:
            raise
        hold_capture(shop.session, row.capture, data, arrived=arrived, trouble=refusal.message, now=now)


def lay_photo(shop: DemoShop, row: PiledPhotoRecord, now: datetime) -> None:
    """Draw a photo with the time it was taken in it, and lay it on the pile."""
    body = draw_piece(row.form, row.colour, row.shows, view=row.view, taken_at=shop.clock(row.day, row.at))
    lay_on_pile(shop.session, [keep(shop.photo_dir, BytesIO(body), "drawn")], now=now)


def _receive(
    shop: DemoShop, row: CaptureRecord, data: Mapping[str, Any], arrived: Mapping[str, StoredPhoto], now: datetime
) -> None:
    places = currency_places(shop.session.get_one(Shop, 1).currency)
    receive_capture(shop.session, row.capture, data, places=places, browser_id=None, now=now, arrived=arrived)
    if row.is_held:
        raise RuleError("Nothing stands against it, so it would not be held.")


def _photo_of(shop: DemoShop, row: CaptureRecord) -> StoredPhoto:
    body = draw_piece(row.form or Form.OTHER, row.colour, Shows.FOUND, taken_at=shop.clock(row.day, row.at))
    return keep(shop.photo_dir, BytesIO(body), "drawn")


def _said(shop: DemoShop, row: CaptureRecord, photos: list[StoredPhoto]) -> dict[str, Any]:
    said: dict[str, Any] = {member: str(getattr(row, member) or "") for member in TYPED}
    if row.piece:
        said["tag"] = known(shop.pieces, row.piece, "piece").tag
    said["captured_at"] = shop.clock(row.day, row.at).isoformat()
    said["on_date"] = shop.date_of(row.day).isoformat()
    said["photos"] = [{"sha256": photo.sha256, "bytes": photo.bytes, "name": photo.given_name} for photo in photos]
    return said
