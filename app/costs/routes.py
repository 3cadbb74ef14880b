"""Pages of the costs room."""

from collections.abc import Callable
from datetime import date

from flask import Blueprint, Response, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.dates import Month
from app.basics.errors import RuleError
from app.costs import actions, queries
from app.costs.forms import PLACES_LIST, CostForm
from app.costs.models import CostLine
from app.costs.queries import CostRow, counted_total
from app.photos.rules import StoredPhoto
from app.photos.store import keep_sent
from app.pieces.queries import PieceRow, piece_by_tag
from app.web.forms import StrikeForm
from app.web.frame import frame, ledger, photo_dir
from app.web.saving import UNPROCESSABLE, save
from app.web.takeaway import csv_answer

bp = Blueprint("costs", __name__, template_folder="templates")

HEADER = ("Date", "Tag", "Piece", "What for", "Amount", "Bought at", "Note", "Receipt photo", "Struck out because")


@bp.get("/pieces/<tag>/costs")
def of_piece(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        rows, corrections = queries.costs_of(session, piece.id), queries.adjustments_of(session, piece.id)
    return render_template(
        "costs/of_piece.html", piece=piece, rows=rows, total=counted_total(rows), corrections=corrections
    )


@bp.get("/pieces/<tag>/costs.csv")
def of_piece_csv(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        rows = queries.costs_of(session, piece.id)
    return _csv(f"costs-{piece.tag}.csv", rows)


@bp.route("/pieces/<tag>/costs/new", methods=["GET", "POST"])
def add_to_piece(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
    return _add(piece, to=lambda _line: url_for("desk.sheet", tag=piece.tag))


@bp.get("/costs")
def shop_costs() -> ResponseReturnValue:
    month = _asked_month() or Month.of(frame().today)
    with ledger().reading() as session:
        rows = queries.shop_costs(session, month)
        spread = queries.shop_cost_months(session)
    return render_template(
        "costs/shop.html",
        month=month,
        rows=rows,
        total=counted_total(rows),
        earlier=month.previous if spread and spread[0] < month else None,
        later=month.next if month < Month.of(frame().today) else None,
    )


@bp.get("/costs.csv")
def shop_costs_csv() -> ResponseReturnValue:
    month = _asked_month()
    with ledger().reading() as session:
        rows = queries.shop_costs(session, month)
    return _csv(f"shop-costs-{month or 'all'}.csv", rows)


@bp.route("/costs/new", methods=["GET", "POST"])
def add_to_shop() -> ResponseReturnValue:
    return _add(None, to=lambda line: _shop_month_of(line.on_date))


@bp.route("/costs/<int:line_id>/strike", methods=["GET", "POST"])
def strike(line_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.cost_by_id(session, line_id)
        sharers = queries.sharers_of(session, row)
    form = StrikeForm.from_request()
    back = url_for("costs.of_piece", tag=row.piece_tag) if row.piece_tag else _shop_month_of(row.on_date)

    def again() -> str:
        return render_template("costs/strike.html", form=form, row=row, back=back, sharers=sharers)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_cost(session, line_id, reason=form.reason.data, now=clock.now()),
        to=lambda _line: back,
        again=again,
        done="The cost is struck out. It counts no more.",
    )


def _add(piece: PieceRow | None, *, to: Callable[[CostLine], str]) -> ResponseReturnValue:
    piece_id = piece.id if piece else None
    with ledger().reading() as session:
        places = queries.places_bought_at(session)
    form = CostForm.from_request().ask_for(piece_id)

    def again() -> str:
        return render_template("costs/add.html", form=form, piece=piece, places=places, places_list=PLACES_LIST)

    if request.method == "GET":
        return again()
    try:
        receipt = _kept_receipt(form)
    except RuleError as refusal:
        form.refuse(RuleError(refusal.message, "receipt"))
        return again(), UNPROCESSABLE
    return save(
        form,
        lambda session: actions.add_cost(
            session,
            form.new_cost(piece_id),
            capture_id=form.submit_token.data or "",
            receipt=receipt,
            now=clock.now(),
        ),
        to=to,
        again=again,
        done="Cost saved.",
    )


def _kept_receipt(form: CostForm) -> StoredPhoto | None:
    """The receipt, kept before the ledger is opened for writing: drawing its sizes takes a while."""
    if not (form.has_receipt and form.validate()):
        return None
    return keep_sent(photo_dir(), form.receipt.data)


def _asked_month() -> Month | None:
    try:
        return Month.parse(request.args.get("month", ""))
    except RuleError:
        return None


def _shop_month_of(day: date) -> str:
    return url_for("costs.shop_costs", month=str(Month.of(day)))


def _csv(file_name: str, rows: list[CostRow]) -> Response:
    return csv_answer(file_name, HEADER, _cells(rows))


def _cells(rows: list[CostRow]) -> list[list[Cell]]:
    places = frame().places
    return [
        [
            row.on_date,
            row.piece_tag,
            row.piece_name,
            row.kind_words,
            Cents(row.amount_cents, places),
            row.bought_at,
            row.note,
            row.receipt_photo_id,
            row.struck_reason,
        ]
        for row in rows
    ]
