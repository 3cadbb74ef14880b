"""The page on which what was paid for a piece is put right."""

from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.database.unit_of_work import Session
from app.pieces import actions
from app.pieces.forms import OpeningForm, PaidForm
from app.pieces.models import Piece
from app.pieces.queries import PieceRow, PurchaseRow, piece_by_tag, purchases_of, transfers_of
from app.pieces.routes.blueprint import bp
from app.pieces.routes.changing import all_sources, shown_or_saved, source_choices, to_sheet
from app.pieces.rules import FromSource, PurchaseKind
from app.web.frame import ledger


@bp.route("/pieces/<tag>/paid", methods=["GET", "POST"])
def correct_paid(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        purchases = purchases_of(session, piece.id)
        transfers = transfers_of(session, piece.id)
    paid = next((row for row in purchases if not row.is_struck), None)
    is_open = paid is not None and paid.haul_id is None
    form = _form(piece, paid)

    def again() -> str:
        shown = form if is_open else None
        return render_template(
            "pieces/paid.html", form=shown, piece=piece, paid=paid, purchases=purchases, transfers=transfers
        )

    def act(session: Session) -> Piece:
        return _correct(session, form, piece, paid)

    return shown_or_saved(form, act, again=again, to=to_sheet, done="Put right. The old amounts stay, struck out.")


def _form(piece: PieceRow, paid: PurchaseRow | None) -> PaidForm | OpeningForm:
    said: dict[str, int | str | None] = {"version": piece.version}
    if paid is not None:
        said |= {"paid": paid.price_cents, "premium": paid.premium_cents or None, "tax": paid.tax_cents or None}
    if paid is not None and paid.kind is PurchaseKind.OPENING:
        return OpeningForm.from_request(data=said)
    form = PaidForm.from_request(data={**said, "source": str(piece.source_id or "")})
    form.offer("source", source_choices(all_sources(), piece.source_id))
    return form


def _correct(session: Session, form: PaidForm | OpeningForm, piece: PieceRow, paid: PurchaseRow | None) -> Piece:
    is_opening = isinstance(form, OpeningForm)
    return actions.correct_paid(
        session,
        piece.id,
        price_cents=form.paid.data or 0,
        premium_cents=0 if is_opening else form.premium.data or 0,
        tax_cents=0 if is_opening else form.tax.data or 0,
        on_date=paid.on_date if paid else piece.sourced_on,
        reason=form.reason.data,
        version=form.version_number,
        now=clock.now(),
        source=None if is_opening else FromSource(form.source_id),
    )
