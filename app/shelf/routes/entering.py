"""Pages for what was bought, used and counted; an entry that changes other charges shows them before it is saved."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import NotFound, RuleError
from app.database.unit_of_work import LedgerTrouble, Session
from app.photos.rules import StoredPhoto
from app.photos.store import keep
from app.pieces.queries import PieceRow, piece_by_tag
from app.shelf import actions, queries
from app.shelf.forms import PLACES_LIST, BuyForm, CountForm, QuantityForm, UseForm
from app.shelf.queries import ChangeLine, MaterialRow
from app.shelf.routes.blueprint import bp
from app.shelf.rules import NewCount, NewParts, NewPurchase, NewUse, mark_of, part_of_can
from app.web.frame import ledger
from app.web.saving import UNPROCESSABLE, save

New = NewPurchase | NewUse | NewCount | NewParts


@dataclass(frozen=True)
class Entry:
    """One entry: its form and material, what it would enter, how it is saved, where that leads, and its own page.

    `material` is None where the entry puts a new one on the shelf, which can change no other charge.
    """

    form: QuantityForm
    material: MaterialRow | None
    new_of: Callable[[Session], New]
    act: Callable[[Session, StoredPhoto | None], Any]
    here: str
    onward: str
    ask: Callable[[], str]
    keep_file: Callable[[], StoredPhoto | None] = lambda: None


@bp.route("/shelf/<int:material_id>/buy", methods=["GET", "POST"])
def buy(material_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        material = queries.material_by_id(session, material_id)
        places = queries.places_bought_at(session)
    form = BuyForm.from_request().measured_in(material.unit)
    entry = _buying(form, material, places)
    return enter(entry, "What you bought is on the shelf.") if request.method == "POST" else entry.ask()


@bp.route("/shelf/<int:material_id>/use", methods=["GET", "POST"])
def use(material_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        material = queries.material_by_id(session, material_id)
        pieces = queries.pieces_on_hand(session)
    return use_of(material, None, [(row.tag, f"{row.name} · {row.tag}") for row in pieces])


@bp.route("/shelf/<int:material_id>/count", methods=["GET", "POST"])
def count(material_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        material = queries.material_by_id(session, material_id)
    form = CountForm.from_request().measured_in(material.unit)
    here = url_for("shelf.count", material_id=material_id)
    entry = Entry(
        form,
        material,
        new_of=lambda _session: form.new_count(material_id),
        act=lambda session, _file: actions.count_material(session, form.new_count(material_id), **_told(form)),
        here=here,
        onward=url_for("shelf.material", material_id=material_id),
        ask=lambda: render_template("shelf/count.html", form=form, material=material, here=here),
    )
    return enter(entry, "The count is saved.") if request.method == "POST" else entry.ask()


def _buying(form: BuyForm, material: MaterialRow, places: list[str]) -> Entry:
    here = url_for("shelf.buy", material_id=material.id)
    return Entry(
        form,
        material,
        new_of=lambda _session: form.new_purchase(material.id),
        act=lambda session, receipt: actions.buy_material(
            session, form.new_purchase(material.id), receipt=receipt, **_told(form)
        ),
        here=here,
        onward=url_for("shelf.material", material_id=material.id),
        ask=lambda: render_template(
            "shelf/buy.html", form=form, material=material, here=here, places=places, places_list=PLACES_LIST
        ),
        keep_file=lambda: _kept_receipt(form),
    )


def use_of(material: MaterialRow, piece: PieceRow | None, pieces: list[tuple[str, str]]) -> ResponseReturnValue:
    """Ask how much of a material was used, and save it: for `piece`, or for one chosen out of `pieces`."""
    with ledger().reading() as session:
        can = queries.last_can(session, material.id)
    form = UseForm.from_request().measured_in(material.unit).offer_parts(has_can=can is not None)
    form.offer("piece", pieces)
    here, onward = _use_places(material, piece)
    entry = Entry(
        form,
        material,
        new_of=lambda session: new_use(session, form, material, piece),
        act=lambda session, _file: actions.use_material(
            session, new_use(session, form, material, piece), **_told(form)
        ),
        here=here,
        onward=onward,
        ask=lambda: render_template(
            "shelf/use.html", form=form, material=material, piece=piece, can=can, here=here, back=onward
        ),
    )
    return enter(entry, "The use is saved.") if request.method == "POST" else entry.ask()


def _use_places(material: MaterialRow, piece: PieceRow | None) -> tuple[str, str]:
    if piece is None:
        here = url_for("shelf.use", material_id=material.id)
        return here, url_for("shelf.material", material_id=material.id)
    here = url_for("shelf.use_on_piece", tag=piece.tag, material=material.id)
    return here, url_for("shelf.of_piece", tag=piece.tag)


def new_use(session: Session, form: UseForm, material: MaterialRow, piece: PieceRow | None) -> NewUse:
    """The use as it was told; a part of the can is worked out from what stands in the ledger."""
    chosen, milli = form.chosen_part, form.milli or 0
    if chosen is not None:
        can = queries.last_can(session, material.id)
        left = queries.left_on(session, material.id, form.on_date.data)
        milli = part_of_can(chosen, can_milli=can.milli if can else None, left_milli=left)
    chosen_piece = piece or _piece_chosen(session, form.piece.data)
    piece_id = chosen_piece.id if chosen_piece else None
    return NewUse(material.id, piece_id, milli, form.on_date.data, form.note.data)


def _piece_chosen(session: Session, tag: str | None) -> PieceRow | None:
    try:
        return piece_by_tag(session, tag) if tag else None
    except NotFound as unknown:
        raise RuleError("Choose the piece out of the list.", "piece") from unknown


def enter(entry: Entry, done: str) -> ResponseReturnValue:
    """Save an entry at once where it changes no other charge; otherwise show what it changes, and ask first."""
    form = entry.form

    def again() -> str:
        changes, mark = _changes(entry)
        return _check_page(entry, changes, mark) if changes else entry.ask()

    if form.validate():
        changes, mark = _changes(entry)
        if changes and mark != form.agreed_mark:
            return _check_page(entry, changes, mark)
    try:
        file = entry.keep_file()
    except (RuleError, LedgerTrouble) as refusal:
        form.refuse(RuleError(refusal.message, "receipt"))
        return entry.ask(), UNPROCESSABLE
    return save(form, lambda session: entry.act(session, file), to=lambda _row: entry.onward, again=again, done=done)


def _changes(entry: Entry) -> tuple[list[ChangeLine], str]:
    """The other charges that an entry changes, and their mark; none where the entry itself is refused."""
    if entry.form.errors or entry.material is None:
        return [], ""
    try:
        with ledger().reading() as session:
            plan = queries.plan_with(session, entry.material.id, entry.new_of(session).row)
            return queries.change_lines(session, plan.others), mark_of(plan.others)
    except RuleError:
        return [], ""


def _check_page(entry: Entry, changes: list[ChangeLine], mark: str) -> str:
    entry.form.agree_on(mark)
    return render_template("shelf/check.html", form=entry.form, entry=entry, changes=changes)


def _told(form: QuantityForm) -> dict[str, Any]:
    return {"capture_id": form.submit_token.data or "", "agreed": form.agreed_mark, "now": clock.now()}


def _kept_receipt(form: BuyForm) -> StoredPhoto | None:
    """The receipt, kept before the ledger is opened for writing: drawing its sizes takes a while."""
    if form.errors or not form.has_receipt:
        return None
    photo_dir: Path = current_app.extensions["tackcloth_settings"].photo_dir
    return keep(photo_dir, form.receipt.data.stream, form.receipt.data.filename)
