"""The pile: a day's photos laid down at once, and sorted onto pieces, finds and receipts."""

from datetime import timedelta
from functools import partial
from typing import Any

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.database.unit_of_work import Session
from app.desk.forms.pile import SortForm, numbers_told, told_numbers
from app.desk.queries import PhotoGroup, pile_groups, with_pieces
from app.desk.routes.blueprint import bp
from app.photos import actions
from app.photos.forms import PileForm
from app.photos.queries import MovedPhoto, PhotoPlace, moved_photos
from app.photos.rules import GAPS, USUAL_GAP, StoredPhoto, shows_at
from app.photos.store import keep_sent
from app.pieces.queries import piece_by_tag, tag_meant
from app.web.filters import counted
from app.web.frame import frame, ledger, photo_dir
from app.web.paging import page_of
from app.web.saving import SEE_OTHER, UNPROCESSABLE, save

GROUPS_A_PAGE = 12


@bp.route("/photos", methods=["GET", "POST"])
def pile() -> ResponseReturnValue:
    form = PileForm.from_request()
    if request.method == "GET":
        return _page(form)
    stored = form.keep_chosen(partial(keep_sent, photo_dir()))
    already = _lay_down(stored)
    told = _told(len(stored) - len(already), already)
    if form.photos.errors:
        return _page(form, told=told if stored else ""), UNPROCESSABLE
    flash(told)
    return redirect(url_for("desk.pile"), SEE_OTHER)


@bp.post("/photos/sort")
def sort() -> ResponseReturnValue:
    form = SortForm.from_request()
    if form.act.data in {"find", "receipts"} and form.numbers:
        leads_to = "desk.find" if form.act.data == "find" else "desk.receipts"
        return redirect(url_for(leads_to, photos=told_numbers(form.numbers)), SEE_OTHER)
    return save(
        form,
        lambda session: _sort(session, form),
        to=lambda tag: _pile_with(moved=told_numbers(form.numbers), on=tag or None),
        again=lambda: _page(PileForm.from_request(), sorting=form),
        done="",
    )


@bp.post("/photos/back")
def lay_back() -> ResponseReturnValue:
    numbers = numbers_told(request.form.get("photos", ""))
    with ledger().writing() as session:
        back = actions.back_to_pile(session, numbers, from_piece=_piece_told(session))
    flash(f"{_photos(len(back))} back on the pile." if back else "Nothing was left to lay back.")
    return redirect(_pile_with(), SEE_OTHER)


def _page(form: PileForm, *, sorting: SortForm | None = None, told: str = "") -> str:
    with ledger().reading() as session:
        groups = pile_groups(session, timedelta(minutes=_gap()))
        page = page_of(len(groups), "desk.pile", size=GROUPS_A_PAGE)
        shown = with_pieces(session, groups[page.offset : page.offset + GROUPS_A_PAGE], zone=frame().zone)
        moved = moved_photos(session, numbers_told(request.args.get("moved", "")), to_piece=_piece_told(session))
    return render_template(
        "desk/pile.html",
        form=sorting or form,
        adding=form,
        groups=[(group, _form_of(group, sorting)) for group in shown],
        page=page,
        total=sum(len(group.photos) for group in groups),
        gaps=[
            {"label": words, "href": _pile_with(gap=minutes), "is_here": minutes == _gap()}
            for minutes, words in GAPS.items()
        ],
        gap=_gap(),
        moved=moved,
        moved_numbers=told_numbers(photo.id for photo in moved),
        moved_words=_moved_words(moved),
        moved_on=request.args.get("on", ""),
        saved=told,
        page_shown=request.values.get("page", ""),
    )


def _form_of(group: PhotoGroup, sorting: SortForm | None) -> SortForm:
    """The form of a group: the one that was posted where it was this group's, else a new one with all photos ticked."""
    first = str(group.photos[0].id)
    if sorting is not None and sorting.group.data == first:
        return sorting
    form = SortForm(group=first, photos=[str(photo.id) for photo in group.photos])
    form.renew_token()
    return form


def _lay_down(stored: list[StoredPhoto]) -> list[PhotoPlace]:
    """Lay photos on the pile; gives where those stand that were here already."""
    with ledger().writing() as session:
        places = [actions.add_to_pile(session, one, now=clock.now()) for one in stored]
    return [place for place in places if place is not None]


def _sort(session: Session, form: SortForm) -> str:
    """Do what was asked; the tag of the piece the photos are on now, or nothing where they are on none."""
    now = clock.now()
    if form.act.data == "aside":
        actions.take_off_pile(session, form.numbers, now=now)
        return ""
    piece = piece_by_tag(session, form.piece.data)
    shows = form.shown or shows_at(piece.stage)
    actions.put_on_piece(session, form.numbers, piece_id=piece.id, shows=shows, now=now)
    return piece.tag


def _piece_told(session: Session) -> int | None:
    """The piece the photos were put on, as the page that tells of it was asked for."""
    tag = tag_meant(session, request.values.get("on", ""))
    return piece_by_tag(session, tag).id if tag else None


def _told(laid: int, already: list[PhotoPlace]) -> str:
    places = ", ".join(sorted({place.words for place in already}))
    here = f" {_photos(len(already))} already here and not doubled: {places}." if already else ""
    return f"{_photos(laid)} laid on the pile.{here}"


def _moved_words(moved: list[MovedPhoto]) -> str:
    """What became of the photos that left the pile just now."""
    put = [photo for photo in moved if photo.tag]
    away = len(moved) - len(put)
    said = [f"{_photos(len(put))} put on {put[0].piece_name}, {put[0].tag}."] if put else []
    if away:
        said.append(
            f"{_photos(away)} on it already and left the pile." if put else f"{_photos(away)} taken off the pile."
        )
    return " ".join(said)


def _pile_with(**more: Any) -> str:
    """The pile as it was being looked at: the same gap and page, and `more`."""
    kept: dict[str, Any] = {name: request.values[name] for name in ("gap", "page") if request.values.get(name)}
    return url_for("desk.pile", **{**kept, **more})


def _gap() -> int:
    asked = request.values.get("gap", "")
    return next((minutes for minutes in GAPS if str(minutes) == asked), USUAL_GAP)


def _photos(count: int) -> str:
    return counted(count, "photo", "photos")
