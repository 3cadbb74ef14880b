"""The hauls: the list, one haul with its shares, and putting it right as a whole."""

from flask import Response, render_template, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.database.unit_of_work import Session
from app.pieces import actions
from app.pieces.forms import HaulForm, haul_form
from app.pieces.models import Haul
from app.pieces.queries import HaulShareRow, HaulSheet, count_hauls, haul_sheet, hauls
from app.pieces.routes.blueprint import bp
from app.pieces.routes.changing import all_sources, shown_or_saved, source_choices
from app.pieces.rules import SplitMethod
from app.web.frame import frame, ledger
from app.web.paging import PAGE_SIZE, page_of
from app.web.takeaway import csv_answer

HAULS_HEADER = (
    *("Haul", "Bought on", "Where from", "Pieces", "Price", "Buyer's premium", "Sales tax", "All of it"),
    *("Shared", "Note"),
)
SHARES_HEADER = ("Tag", "Name", "Stage", "Guess", "Price", "Buyer's premium", "Sales tax", "All of it")


@bp.get("/hauls", endpoint="hauls")
def list_hauls() -> ResponseReturnValue:
    with ledger().reading() as session:
        page = page_of(count_hauls(session), "pieces.hauls")
        rows = hauls(session, limit=PAGE_SIZE, offset=page.offset)
    return render_template("pieces/hauls.html", page=page, rows=rows)


@bp.get("/hauls.csv")
def hauls_csv() -> Response:
    with ledger().reading() as session:
        rows = hauls(session)
    cells: list[list[Cell]] = [
        [
            *(row.id, row.bought_on, row.source_name, row.pieces),
            *_money(row.price_cents, row.premium_cents, row.tax_cents, row.total_cents),
            *(row.split_words, row.note),
        ]
        for row in rows
    ]
    return csv_answer("hauls.csv", HAULS_HEADER, cells)


def _money(*amounts: int | None) -> list[Cell]:
    return [None if cents is None else Cents(cents, frame().places) for cents in amounts]


@bp.get("/hauls/<int:haul_id>")
def haul(haul_id: int) -> ResponseReturnValue:
    return render_template("pieces/haul.html", sheet=_sheet(haul_id))


def _sheet(haul_id: int) -> HaulSheet:
    with ledger().reading() as session:
        return haul_sheet(session, haul_id)


@bp.get("/hauls/<int:haul_id>.csv")
def haul_csv(haul_id: int) -> Response:
    rows = [_share_cells(share) for share in _sheet(haul_id).shares]
    return csv_answer(f"haul-{haul_id}.csv", SHARES_HEADER, rows)


def _share_cells(share: HaulShareRow) -> list[Cell]:
    piece, paid = share.piece, share.purchase
    amounts = _money(paid.guess_cents, paid.price_cents, paid.premium_cents, paid.tax_cents, paid.total_cents)
    return [piece.tag, piece.name, piece.left_words or str(piece.stage), *amounts]


@bp.route("/hauls/<int:haul_id>/correct", methods=["GET", "POST"])
def correct_haul(haul_id: int) -> ResponseReturnValue:
    sheet = _sheet(haul_id)
    form = _form(sheet)

    def again() -> str:
        shown = None if sheet.fixed_by else form
        return render_template("pieces/correct_haul.html", form=shown, sheet=sheet)

    def act(session: Session) -> Haul:
        return actions.correct_haul(session, haul_id, form.correction(), version=form.version_number, now=clock.now())

    done = "Put right. The old shares stay, struck out."
    return shown_or_saved(form, act, again=again, to=lambda _haul: url_for("pieces.haul", haul_id=haul_id), done=done)


def _form(sheet: HaulSheet) -> HaulForm:
    row = sheet.haul
    said: dict[str, object] = {
        "source": str(row.source_id or ""),
        "paid": row.price_cents,
        "premium": row.premium_cents or None,
        "tax": row.tax_cents or None,
        "split": row.split.value,
    }
    for share in sheet.shares:
        said[f"guess_{share.piece.id}"] = share.purchase.guess_cents
        said[f"by_hand_{share.piece.id}"] = share.purchase.price_cents if row.split is SplitMethod.BY_HAND else None
    form = haul_form(share.piece.id for share in sheet.shares).from_request(obj=row, data=said)
    form.offer("source", source_choices(all_sources(), row.source_id))
    return form
