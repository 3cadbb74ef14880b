"""Receipts: what lacks one, photos of the pile that are some, and the receipt of one row."""

from datetime import date

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.dates import Month, local_day
from app.basics.errors import RuleError
from app.database.unit_of_work import Session
from app.desk import actions
from app.desk.forms.pile import numbers_told, told_numbers
from app.desk.forms.receipts import ReceiptForm, ReceiptsForm, attached_told, receipts_form
from app.desk.queries import ReceiptRow, receipt_row, rows_attached, rows_without_receipt
from app.desk.queries.receipts import MAY_HAVE_ONE
from app.desk.routes.blueprint import bp
from app.photos.queries import PhotoRow, photo_by_id, pile, pile_photos, replaced_receipts
from app.photos.rules import StoredPhoto
from app.photos.store import keep_sent
from app.web.filters import day, money
from app.web.frame import frame, ledger, photo_dir
from app.web.saving import SEE_OTHER, UNPROCESSABLE, save

MOST_OFFERED = 24
TAKEN_OFF = "Taken off. The photo lies on the pile, unless it is the receipt of another row too."


@bp.route("/receipts", methods=["GET", "POST"])
def receipts() -> ResponseReturnValue:
    with ledger().reading() as session:
        photos = pile_photos(session, numbers_told(request.values.get("photos", "")))
        rows = rows_without_receipt(session)
        done = rows_attached(session, attached_told(request.args.get("done", "")))
    numbers = [photo.id for photo in photos]
    form = receipts_form(numbers).from_request(photos=told_numbers(numbers))
    form.offer_rows([(photo.id, _offered(photo, rows)) for photo in photos])

    def again() -> str:
        return render_template("desk/receipts.html", form=form, photos=photos, rows=rows, done=done)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _attach_each(session, form),
        to=lambda attached: url_for("desk.receipts", done=",".join(attached)),
        again=again,
        done="",
    )


@bp.route("/receipts/<name>", methods=["GET", "POST"])
def receipt(name: str) -> ResponseReturnValue:
    form = ReceiptForm.from_request()
    if request.method == "GET":
        return _page(name, form)
    try:
        chosen = _chosen(form)
    except RuleError as refusal:
        form.refuse(RuleError(refusal.message, "receipt"))
        return _page(name, form), UNPROCESSABLE
    return save(
        form,
        lambda session: actions.attach_receipt(session, name, chosen, now=clock.now()),
        to=lambda _nothing: url_for("desk.receipt", name=name),
        again=lambda: _page(name, form),
        done="The receipt is attached.",
    )


@bp.post("/receipts/off")
def take_receipts_off() -> ResponseReturnValue:
    attached, now = attached_told(request.form.get("attached", "")), clock.now()
    with ledger().writing() as session:
        off = [actions.take_receipt_off(session, name, photo_id, now=now) for name, photo_id in attached.items()]
    flash(TAKEN_OFF if any(off) else "It was taken off or replaced already.")
    home = url_for("desk.receipt", name=next(iter(attached))) if len(attached) == 1 else url_for("desk.pile")
    return redirect(home, SEE_OTHER)


def _page(name: str, form: ReceiptForm) -> str:
    with ledger().reading() as session:
        row = receipt_row(session, name)
        shown = photo_by_id(session, row.receipt_photo_id) if row.receipt_photo_id else None
        before = replaced_receipts(session, MAY_HAVE_ONE[row.word].__tablename__, row.id)
        piled = pile(session)
    nearest = sorted(piled, key=lambda photo: abs(_day_of(photo) - row.on_date))
    return render_template(
        "desk/receipt.html",
        form=form,
        row=row,
        shown=shown,
        before=before,
        piled=nearest[:MOST_OFFERED],
        more=len(piled) > MOST_OFFERED,
        home=_home_of(row),
    )


def _chosen(form: ReceiptForm) -> StoredPhoto | int:
    """The photo as sent, kept before the ledger is opened for writing, or the number of one on the pile."""
    if form.has_file and form.validate():
        return keep_sent(photo_dir(), form.receipt.data)
    return form.piled_number or 0


def _attach_each(session: Session, form: ReceiptsForm) -> list[str]:
    """Attach each photo to the row chosen for it; the rows with their receipts, as addresses carry them."""
    chosen = form.chosen()
    if not chosen:
        raise RuleError("Choose for at least one photo what it is the receipt of.")
    now = clock.now()
    attached = {name: actions.attach_receipt(session, name, number, now=now) for number, name in chosen.items()}
    return [f"{name}:{photo_id}" for name, photo_id in attached.items()]


def _offered(photo: PhotoRow, rows: list[ReceiptRow]) -> dict[str, list[tuple[str, str]]]:
    """The rows to choose from, those of the day the photo was taken apart."""
    taken_on = _day_of(photo)
    return {
        "Not yet": [("", "Stays on the pile")],
        "Of that day": [(row.name, _words(row)) for row in rows if row.on_date == taken_on],
        "Without a receipt": [(row.name, _words(row)) for row in rows if row.on_date != taken_on],
    }


def _words(row: ReceiptRow) -> str:
    of_piece = f", {row.piece_name} {row.tag}" if row.tag else ""
    return f"{day(row.on_date)}: {row.what}, {money(row.cents)}{of_piece}"


def _day_of(photo: PhotoRow) -> date:
    return local_day(photo.instant, frame().zone)


def _home_of(row: ReceiptRow) -> str:
    """The page on which the row itself stands."""
    if row.word == "shelf":
        return url_for("shelf.material", material_id=row.material_id)
    if row.word == "trip":
        return url_for("trips.trip", trip_id=row.id)
    if row.tag:
        return url_for("costs.of_piece", tag=row.tag)
    return url_for("costs.shop_costs", month=str(Month.of(row.on_date)))
