"""What phones send home and ask for: answers for a program, no pages."""

import hashlib
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from typing import Any

from flask import Response, g, jsonify, request
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import NotFound, RuleError
from app.costs.rules import COST_WORDS, PIECE_KINDS, SHOP_KINDS
from app.photos.store import keep, original_path
from app.pieces.rules import FORM_WORDS
from app.pocket import actions, queries
from app.pocket.actions import Outcome
from app.pocket.formats import NoJson, read_json
from app.pocket.routes.blueprint import bp, made_href
from app.pocket.rules import (
    CannotBeEntered,
    CaptureDiffers,
    CaptureLetGo,
    CaptureState,
    Made,
    NoCaptureId,
    parse_instant,
    require_id,
)
from app.timelog.rules import ACTIVITY_WORDS
from app.web.frame import frame, ledger, photo_dir
from app.web.problems import problem

MOST_WAITING = 100_000
NOTHING_MORE = 204
COST_KINDS = {"piece": PIECE_KINDS, "shop": SHOP_KINDS}


@bp.put("/captures/<capture_id>")
def receive(capture_id: str) -> ResponseReturnValue:
    if request.mimetype != "application/json":
        return problem(415, "Not JSON", "Send the capture as application/json.")
    try:
        require_id(capture_id)
        outcome = _receive(capture_id, read_json(request.get_data()))
    except (NoJson, NoCaptureId) as refusal:
        return problem(400, "Not a capture", refusal.message)
    except CannotBeEntered as refusal:
        return _refused(refusal)
    except CaptureDiffers as before:
        return problem(409, "Entered already", before.message, made=_made(before.made))
    except CaptureLetGo as before:
        return problem(409, "Let go at home", before.message)
    return _told(outcome)


def _receive(capture_id: str, data: Any) -> Outcome:
    with ledger().writing() as session:
        outcome = actions.receive_capture(
            session,
            capture_id,
            data,
            places=frame().places,
            browser_id=g.get("browser_id"),
            now=clock.now(),
        )
    # The phone lets go of its copy by this answer: what was noted as here but is not on the disk any more is wanted.
    here = [sha256 for sha256 in outcome.photos if original_path(photo_dir(), sha256).exists()]
    gone = [sha256 for sha256 in outcome.photos if sha256 not in here]
    return replace(outcome, photos=tuple(here), missing=(*outcome.missing, *gone))


@bp.put("/captures/<capture_id>/photos/<sha256>")
def receive_photo(capture_id: str, sha256: str) -> ResponseReturnValue:
    try:
        with ledger().reading() as session:
            is_wanted = actions.wants_photo(session, capture_id, sha256)
        body = request.get_data()
        if hashlib.sha256(body).hexdigest() != sha256:
            return problem(
                422, "Another photo", "The bytes that came are not those that were announced. Send it again."
            )
        if is_wanted or not original_path(photo_dir(), sha256).exists():
            stored = keep(photo_dir(), BytesIO(body), "")
            with ledger().writing() as session:
                actions.take_photo(session, capture_id, stored, now=clock.now())
    except NotFound:
        return problem(404, "No capture waits for this photo", "Send the capture first, then its photos.")
    except RuleError as refusal:
        return problem(422, "No readable photo", refusal.message)
    return Response(status=NOTHING_MORE)


@bp.get("/pocket/home")
def home() -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = queries.home_sheet(session, g.get("browser_id"))
    return _not_kept(
        shop=frame().shop_name,
        phone=sheet.phone,
        currency=frame().currency,
        places=frame().places,
        today=frame().today.isoformat(),
        sources=[{"name": source.name, "free": source.is_free} for source in sheet.sources],
        forms=_pairs(FORM_WORDS),
        cost_kinds={whose: [[kind.value, COST_WORDS[kind]] for kind in kinds] for whose, kinds in COST_KINDS.items()},
        activities=_pairs(ACTIVITY_WORDS),
        pieces=sheet.pieces,
    )


@bp.put("/pocket/waiting")
def waiting() -> ResponseReturnValue:
    try:
        number, oldest = _waiting(read_json(request.get_data()))
    except NoJson as refusal:
        return problem(400, "Not JSON", refusal.message)
    except RuleError as refusal:
        return problem(422, "Not understood", refusal.message)
    if g.get("browser_id") is not None:
        with ledger().writing() as session:
            actions.note_waiting(session, g.browser_id, waiting=number, oldest=oldest, now=clock.now())
    return Response(status=NOTHING_MORE)


def _waiting(told: Any) -> tuple[int, datetime | None]:
    number = told.get("waiting") if isinstance(told, dict) else None
    if type(number) is not int or not 0 <= number <= MOST_WAITING:
        raise RuleError("Say how many captures wait, as a whole number.")
    oldest = told.get("oldest")
    return number, parse_instant(str(oldest)) if oldest else None


def _told(outcome: Outcome) -> ResponseReturnValue:
    if outcome.made is None or not outcome.is_home:
        return _not_kept(id=outcome.id, state=CaptureState.WAITING, missing=outcome.missing), 202
    answer = _not_kept(
        id=outcome.id,
        state=CaptureState.HOME,
        photos=outcome.photos,
        made=_made(outcome.made),
        received_at=outcome.received_at.isoformat(timespec="seconds"),
    )
    return answer, 201 if outcome.is_new else 200


def _made(made: Made) -> dict[str, str]:
    return {"kind": made.kind, "tag": made.tag, "href": made_href(made)}


def _refused(refusal: CannotBeEntered) -> Response:
    errors = [(trouble.field, trouble.detail) for trouble in refusal.troubles if trouble.field]
    return problem(422, "Cannot be entered as it stands", refusal.message, errors)


def _not_kept(**told: Any) -> Response:
    answer = jsonify(told)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _pairs(words: Any) -> list[list[str]]:
    return [[word.value, label] for word, label in words.items()]
