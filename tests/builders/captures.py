"""Captures for tests: as a phone makes them, sent to the endpoint or entered by the action."""

import base64
import hashlib
import json
from collections.abc import Sequence
from typing import Any
from uuid import uuid4

from sqlalchemy.orm import Session

from app.pocket.actions import hold_capture
from app.pocket.rules import CaptureKind, reference_of
from tests.builders.pieces import NOW

AN_ID = "0f8c1a52-3b7d-4c11-9a55-2f6de0c4b001"


def new_id() -> str:
    """A number as a phone draws it."""
    return str(uuid4())


def named(*photos: bytes) -> list[dict[str, Any]]:
    """How a capture names its photos."""
    return [
        {"sha256": hashlib.sha256(body).hexdigest(), "bytes": len(body), "name": f"photo-{number}.jpg"}
        for number, body in enumerate(photos, start=1)
    ]


def a_find(capture_id: str = AN_ID, *, photos: Sequence[bytes] = (), **said: Any) -> dict[str, Any]:
    """A find of an oak chest, but for what is said."""
    return {
        "kind": "find",
        "reference": reference_of(capture_id, CaptureKind.FIND),
        "captured_at": "2026-11-25T08:15:00-07:00",
        "on_date": "2026-11-25",
        "what": "oak chest, three drawers",
        "form": "chest",
        "paid": "45.50",
        "where": "",
        "note": "",
        "photos": named(*photos),
        **said,
    }


def a_cost_sent(capture_id: str = AN_ID, *, photos: Sequence[bytes] = (), **said: Any) -> dict[str, Any]:
    """A cost of the shop, but for what is said."""
    return {
        "kind": "cost",
        "reference": reference_of(capture_id, CaptureKind.COST),
        "captured_at": "2026-11-25T08:20:00-07:00",
        "on_date": "2026-11-25",
        "tag": "",
        "amount": "12.00",
        "cost_kind": "tools",
        "photos": named(*photos),
        **said,
    }


def a_time_sent(capture_id: str = AN_ID, **said: Any) -> dict[str, Any]:
    """Time worked for the shop, but for what is said."""
    return {
        "kind": "time",
        "reference": reference_of(capture_id, CaptureKind.TIME),
        "captured_at": "2026-11-25T08:25:00-07:00",
        "on_date": "2026-11-25",
        "tag": "",
        "minutes": "40",
        "activity": "cleaning",
        **said,
    }


def a_held_capture(session: Session, capture_id: str = AN_ID, **said: Any) -> str:
    """A cost for a tag that is none, as a rescue file brought it; its number."""
    data = a_cost_sent(capture_id, **{"tag": "7K3", "cost_kind": "hardware", **said})
    hold_capture(session, capture_id, data, arrived={}, trouble="No piece here has the tag 7K3.", now=NOW)
    return capture_id


def a_rescue_file(*captures: tuple[str, dict[str, Any], Sequence[bytes]]) -> bytes:
    """A rescue file as a phone saves it: number, content and photos of each capture."""
    return json.dumps(
        {
            "tackcloth": "captures",
            "version": 1,
            "saved_at": "2026-11-25T08:30:00-07:00",
            "captures": [
                {
                    "id": capture_id,
                    "capture": data,
                    "photos": {hashlib.sha256(one).hexdigest(): base64.b64encode(one).decode() for one in photos},
                }
                for capture_id, data, photos in captures
            ],
        }
    ).encode()
