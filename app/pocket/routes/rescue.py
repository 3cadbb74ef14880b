"""Take in a rescue file: each capture by itself, any number of times."""

from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import RuleError
from app.photos.rules import StoredPhoto
from app.photos.store import keep, original_path
from app.pocket import actions, queries
from app.pocket.formats import NoRescueFile, Rescued, read_rescue
from app.pocket.forms import RescueForm
from app.pocket.routes.blueprint import bp, made_href
from app.pocket.rules import (
    KIND_WORDS,
    LARGEST_BODY,
    CannotBeEntered,
    CaptureDiffers,
    CaptureKind,
    CaptureLetGo,
    FieldTrouble,
    canonical,
    named_photos,
    reference_of,
)
from app.web.frame import frame, ledger, photo_dir
from app.web.saving import UNPROCESSABLE

SHOWN = 60


@dataclass(frozen=True)
class RescueLine:
    """What became of one capture in the file; `href` leads to it, "" where nothing is kept of it."""

    name: str
    words: str
    href: str = ""
    needs_you: bool = False


@bp.route("/pocket/rescue", methods=["GET", "POST"])
def rescue() -> ResponseReturnValue:
    form = RescueForm.from_request()
    lines: list[RescueLine] | None = None
    if request.method == "POST" and form.validate():
        try:
            lines = [_take_in(one) for one in read_rescue(form.file.data.stream)]
        except NoRescueFile as refusal:
            form.refuse(RuleError(refusal.message, "file"))
    page = render_template("pocket/rescue.html", form=form, lines=lines)
    return page, UNPROCESSABLE if form.errors else 200


def _take_in(one: Rescued) -> RescueLine:
    """Enter one capture, or hold it with what is wrong; what is no capture at all is told and left."""
    try:
        kind = CaptureKind(one.data.get("kind", ""))
        name = f"{KIND_WORDS[kind]} {reference_of(one.id, kind)}"
    except (RuleError, ValueError):
        return RescueLine(one.id[:SHOWN] or "Without a number", "This is no capture; nothing was kept of it.")
    if len(canonical(one.data)) > LARGEST_BODY:
        return RescueLine(name, "This is too long for a capture; nothing was kept of it.")
    return _enter_or_hold(one, name)


def _enter_or_hold(one: Rescued, name: str) -> RescueLine:
    arrived, trouble = _keep_photos(one)
    try:
        return _enter(one, name, arrived, trouble)
    except CaptureDiffers as before:
        words = "Refused: it is entered already, and said something else then. Nothing was changed."
        return RescueLine(name, words, made_href(before.made))
    except CaptureLetGo as before:
        return RescueLine(name, before.message, _held(one))
    except CannotBeEntered as refusal:
        return _hold(one, name, arrived, refusal.message)


def _enter(one: Rescued, name: str, arrived: Mapping[str, StoredPhoto], trouble: str) -> RescueLine:
    if one.is_draft:
        raise CannotBeEntered([FieldTrouble("", "It was not finished on the phone.")])
    with ledger().writing() as session:
        outcome = actions.receive_capture(
            session, one.id, one.data, places=frame().places, browser_id=None, now=clock.now(), arrived=arrived
        )
        if outcome.made is None:
            raise CannotBeEntered([FieldTrouble("photos", trouble or "A photo of it is not in the file.")])
    return RescueLine(name, "Entered now." if outcome.is_new else "Was here already.", made_href(outcome.made))


def _hold(one: Rescued, name: str, arrived: Mapping[str, StoredPhoto], trouble: str) -> RescueLine:
    with ledger().writing() as session:
        is_held = actions.hold_capture(session, one.id, one.data, arrived=arrived, trouble=trouble, now=clock.now())
    if not is_held:
        return RescueLine(name, "Was entered or let go here already.")
    return RescueLine(name, f"Needs you: {trouble}", _held(one), needs_you=True)


def _keep_photos(one: Rescued) -> tuple[dict[str, StoredPhoto], str]:
    """The photos of a capture that were not here yet, kept; and what is wrong with the first that cannot be."""
    with ledger().reading() as session:
        here = {photo.sha256 for photo in queries.photos_wanted(session, one.id) if photo.stored}
    kept: dict[str, StoredPhoto] = {}
    troubles: list[str] = []
    for photo in named_photos(one.data):
        if photo.sha256 in here and original_path(photo_dir(), photo.sha256).exists():
            continue
        try:
            body = one.photo(photo.sha256)
            if body is not None:
                kept[photo.sha256] = keep(photo_dir(), BytesIO(body), photo.name)
        except RuleError as refusal:
            troubles.append(f"{photo.name}: {refusal.message}")
    return kept, " ".join(troubles[:1])


def _held(one: Rescued) -> str:
    return url_for("pocket.held", capture_id=one.id)
