"""What came from phones, and the captures that need the owner: put right and entered, or let go."""

from collections.abc import Iterator
from typing import Any

from flask import Response, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from app.basics import clock
from app.basics.csv_out import Cell
from app.database.unit_of_work import Session
from app.photos.rules import Size
from app.photos.store import size_path
from app.pocket import actions, queries
from app.pocket.actions import Outcome
from app.pocket.forms import FORM_OF, HeldForm, LetGoForm
from app.pocket.queries import CaptureRow
from app.pocket.routes.blueprint import bp, made_href
from app.pocket.rules import KIND_WORDS, CaptureState, named_photos, read_capture
from app.web.frame import frame, ledger, photo_dir
from app.web.paging import page_of
from app.web.saving import SEE_OTHER, save
from app.web.takeaway import csv_answer

HEADER = ("Reference", "Kind", "State", "What", "Piece", "Phone", "Written down", "Received", "Why it is not entered")


@bp.get("/pocket/captures")
def came() -> ResponseReturnValue:
    with ledger().reading() as session:
        page = page_of(queries.count_captures(session), "pocket.came")
        rows = queries.captures(session, limit=page.last - page.offset, offset=page.offset)
    return render_template("pocket/came.html", page=page, rows=rows, kind_words=KIND_WORDS, href_of=_href_of)


@bp.get("/pocket/captures.csv")
def came_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = queries.captures(session)
    return csv_answer("captures.csv", HEADER, _cells(rows))


@bp.route("/pocket/held/<capture_id>", methods=["GET", "POST"])
def held(capture_id: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.capture_row(session, capture_id)
        wanted = queries.photos_wanted(session, capture_id)
    if row.made is not None:
        return redirect(made_href(row.made), SEE_OTHER)
    form = _form(row)

    def again() -> str:
        here = [photo.stored for photo in wanted if photo.stored]
        return render_template("pocket/held.html", form=form, row=row, photos=here, kind_words=KIND_WORDS)

    if request.method == "GET":
        return again()
    return save(form, lambda session: _enter(session, row, form), to=_where_made, again=again, done="Entered.")


@bp.route("/pocket/held/<capture_id>/drop", methods=["GET", "POST"])
def drop(capture_id: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.capture_row(session, capture_id)
    form = LetGoForm.from_request()

    def again() -> str:
        return render_template("pocket/drop.html", form=form, row=row, kind_words=KIND_WORDS)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.let_go(session, capture_id, reason=form.reason.data),
        to=lambda _none: url_for("pocket.came"),
        again=again,
        done="Let go. What it said is kept.",
    )


@bp.post("/pocket/held/<capture_id>/take-up")
def take_up(capture_id: str) -> ResponseReturnValue:
    with ledger().writing() as session:
        actions.take_up(session, capture_id)
    return redirect(url_for("pocket.held", capture_id=capture_id), SEE_OTHER)


@bp.get("/pocket/held/<capture_id>/photos/<sha256>/<size>")
def held_photo(capture_id: str, sha256: str, size: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        here = {photo.sha256 for photo in queries.photos_wanted(session, capture_id) if photo.stored}
    path = size_path(photo_dir(), sha256, Size(size)) if size in set(Size) and sha256 in here else None
    if path is None or not path.is_file():
        abort(404)
    return Response(path.read_bytes(), content_type="image/webp", headers={"Cache-Control": "private, no-cache"})


def _form(row: CaptureRow) -> HeldForm:
    """The form as posted, else with just what the phone sent, sound or not."""
    kind = FORM_OF[row.kind]
    if request.method == "POST":
        return kind.from_request()
    form = kind(MultiDict({name: value for name, value in row.said.items() if isinstance(value, str)}))
    form.renew_token()
    return form


def _enter(session: Session, row: CaptureRow, form: HeldForm) -> Outcome:
    here = {photo.sha256 for photo in queries.photos_wanted(session, row.id) if photo.stored}
    photos = [
        {"sha256": photo.sha256, "bytes": photo.bytes, "name": photo.name}
        for photo in named_photos(row.said)
        if photo.sha256 in here
    ]
    moment = {"captured_at": row.captured_at.isoformat(), "reference": row.reference}
    said: dict[str, Any] = {"kind": row.kind.value, **moment, **form.said(), "photos": photos}
    return actions.enter_by_hand(session, read_capture(said, row.id, places=frame().places), now=clock.now())


def _where_made(outcome: Outcome) -> str:
    return made_href(outcome.made) if outcome.made else url_for("pocket.came")


def _href_of(row: CaptureRow) -> str:
    return made_href(row.made) if row.made else url_for("pocket.held", capture_id=row.id)


def _cells(rows: list[CaptureRow]) -> Iterator[list[Cell]]:
    for row in rows:
        made_on = row.made.tag if row.made else ""
        trouble = "" if row.state is CaptureState.HOME else row.trouble
        what = [row.reference, KIND_WORDS[row.kind], row.state_words, row.headline, made_on, row.phone]
        yield [*what, row.captured_at, row.received_at, trouble]
