"""Pages for what was bought, used and counted; an entry that changes other charges shows them before it is saved."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import NotFound, RuleError
from app.database.unit_of_work import Session
from app.photos.rules import StoredPhoto
from app.photos.store import keep_sent
from app.pieces.queries import PieceRow, piece_by_tag
from app.shelf import actions, queries
from app.shelf.forms import PLACES_LIST, BuyForm, CountForm, QuantityForm, UseForm
from app.shelf.models import ShelfUse
from app.shelf.queries import MaterialRow
from app.shelf.routes.blueprint import bp
from app.shelf.rules import NewCount, NewPurchase, NewUse, bought_by, part_of_can
from app.web.checking import Changes, Entry, enter
from app.web.frame import frame, ledger, photo_dir

New = NewPurchase | NewUse | NewCount


@dataclass(frozen=True)
class _Page:
    """One page that enters a row of a material: its form, its address, and where saving leads."""

    form: QuantityForm
    material: MaterialRow
    here: str
    onward: str

    def changes(self, new_of: Callable[[Session], New]) -> Changes:
        """What else the row would change."""
        with ledger().reading() as session:
            return queries.changes_with(session, self.material.id, new_of(session).row)

    def check(self, changes: Sequence[Any]) -> str:
        """The page that shows it."""
        return render_template(
            "shelf/check.html",
            form=self.form,
            name=self.material.name,
            here=self.here,
            onward=self.onward,
            changes=changes,
        )

    def told(self) -> dict[str, Any]:
        """What every action takes besides its row."""
        return {
            "capture_id": self.form.submit_token.data or "",
            "agreed": self.form.agreed_mark,
            "now": clock.now(),
        }


@bp.route("/shelf/<int:material_id>/buy", methods=["GET", "POST"])
def buy(material_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        material = queries.material_by_id(session, material_id)
        places = queries.places_bought_at(session)
    form = BuyForm.from_request().measured_in(material.unit, bought_by(material.unit, frame().units))
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
    entry = _counting(form, material)
    return enter(entry, "The count is saved.") if request.method == "POST" else entry.ask()


def _buying(form: BuyForm, material: MaterialRow, places: list[str]) -> Entry:
    page = _Page(form, material, url_for("shelf.buy", material_id=material.id), _sheet(material))
    return Entry(
        form,
        act=lambda session, receipt: actions.buy_material(
            session, form.new_purchase(material.id), receipt=receipt, **page.told()
        ),
        find_changes=lambda: page.changes(lambda _session: form.new_purchase(material.id)),
        ask=lambda: render_template(
            "shelf/buy.html", form=form, material=material, here=page.here, places=places, places_list=PLACES_LIST
        ),
        check=page.check,
        onward=page.onward,
        keep_file=lambda: _kept_receipt(form),
    )


def _counting(form: CountForm, material: MaterialRow) -> Entry:
    page = _Page(form, material, url_for("shelf.count", material_id=material.id), _sheet(material))
    return Entry(
        form,
        act=lambda session, _file: actions.count_material(session, form.new_count(material.id), **page.told()),
        find_changes=lambda: page.changes(lambda _session: form.new_count(material.id)),
        ask=lambda: render_template("shelf/count.html", form=form, material=material, here=page.here),
        check=page.check,
        onward=page.onward,
    )


def use_of(material: MaterialRow, piece: PieceRow | None, pieces: list[tuple[str, str]]) -> ResponseReturnValue:
    """Ask how much of a material was used, and save it: for `piece`, or for one chosen out of `pieces`."""
    with ledger().reading() as session:
        can = queries.last_can(session, material.id)
    form = UseForm.from_request().measured_in(material.unit).offer_parts(has_can=can is not None)
    form.offer("piece", pieces)
    page = _Page(form, material, *_use_places(material, piece))
    entry = Entry(
        form,
        act=lambda session, _file: actions.use_material(session, _use(session, form, material, piece), **page.told()),
        find_changes=lambda: page.changes(lambda session: _use(session, form, material, piece)),
        ask=lambda: render_template(
            "shelf/use.html", form=form, material=material, piece=piece, can=can, here=page.here, back=page.onward
        ),
        check=page.check,
        onward=page.onward,
    )
    return enter(entry, lambda row: _used(row, material)) if request.method == "POST" else entry.ask()


def _used(row: ShelfUse, material: MaterialRow) -> str:
    if row.quantity_milli <= max(material.left_milli, 0):
        return "The use is saved."
    return "The use is saved. It is more than the books had left: your next purchase settles what it really cost."


def _sheet(material: MaterialRow) -> str:
    return url_for("shelf.material", material_id=material.id)


def _use_places(material: MaterialRow, piece: PieceRow | None) -> tuple[str, str]:
    if piece is None:
        return url_for("shelf.use", material_id=material.id), _sheet(material)
    here = url_for("shelf.use_on_piece", tag=piece.tag, material=material.id)
    return here, url_for("shelf.of_piece", tag=piece.tag)


def _use(session: Session, form: UseForm, material: MaterialRow, piece: PieceRow | None) -> NewUse:
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


def _kept_receipt(form: BuyForm) -> StoredPhoto | None:
    """The receipt, kept before the ledger is opened for writing: drawing its sizes takes a while."""
    if not form.has_receipt:
        return None
    return keep_sent(photo_dir(), form.receipt.data)
