"""Pages of what is given back: a sale that comes back, money given back in part, and either struck out."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import RuleError
from app.sales import actions, queries
from app.sales.forms import STAGES_TO_COME_BACK_TO, RefundForm, ReturnForm, StrikeForm
from app.sales.queries import SaleRow, SaleSheet
from app.sales.routes.blueprint import NEVER_KEPT, bp
from app.sales.routes.finding import sheet_of
from app.sales.rules import require_refundable, require_returnable
from app.web.filters import is_closed
from app.web.frame import frame, ledger
from app.web.saving import UNPROCESSABLE, save


@bp.route("/sales/<int:sale_id>/return", methods=["GET", "POST"])
def take_back(sale_id: int) -> ResponseReturnValue:
    sheet = sheet_of(sale_id)
    form = _return_form(sheet.sale)
    if request.method == "GET":
        require_returnable(is_struck=sheet.sale.is_struck, is_returned=sheet.sale.came_back is not None)
        return _return_page(form, sheet)
    return save(
        form,
        lambda session: actions.record_return(session, form.new_return(sale_id), now=clock.now()),
        to=lambda _return: url_for("sales.sale", sale_id=sale_id),
        again=lambda: _return_page(form, sheet),
        done="The return is recorded.",
    )


@bp.get("/sales/<int:sale_id>/return/check")
def check_return(sale_id: int) -> ResponseReturnValue:
    sheet = sheet_of(sale_id)
    row = sheet.sale
    if row.came_back is not None:
        page = render_template("sales/recorded.html", sale=row, piece=sheet.piece, came_back=row.came_back)
        return page, NEVER_KEPT
    require_returnable(is_struck=row.is_struck, is_returned=False)
    form = _return_form(row)
    return _check_return_page(form, sheet) if form.is_told else _return_page(form, sheet)


@bp.route("/returns/<int:return_id>/strike", methods=["GET", "POST"])
def strike_return(return_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.return_row(session, return_id)
        sheet = queries.sale_sheet(session, row.sale_id)
        if request.method == "GET" and not is_closed(row.returned_on):
            queries.check_strike_return(session, return_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("sales/strike_return.html", form=form, sheet=sheet, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_return(session, return_id, reason=form.reason.data, now=clock.now()),
        to=lambda _return: url_for("sales.sale", sale_id=row.sale_id),
        again=again,
        done="The return is struck out. The sale counts again.",
    )


@bp.route("/sales/<int:sale_id>/refund", methods=["GET", "POST"])
def refund(sale_id: int) -> ResponseReturnValue:
    sheet = sheet_of(sale_id)
    form = RefundForm.from_request()

    def again() -> str:
        return render_template("sales/refund.html", form=form, sheet=sheet)

    if request.method == "GET":
        require_refundable(is_struck=sheet.sale.is_struck, is_returned=sheet.sale.came_back is not None)
        return again()
    number = str(form.submit_token.data or "")
    return save(
        form,
        lambda session: actions.record_refund(
            session, form.new_refund(sale_id, sheet.sale.money), capture_id=number, now=clock.now()
        ),
        to=lambda _refund: url_for("sales.sale", sale_id=sale_id),
        again=again,
        done="The refund is recorded. The piece stays sold.",
    )


@bp.route("/refunds/<int:refund_id>/strike", methods=["GET", "POST"])
def strike_refund(refund_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.refund_row(session, refund_id)
        sheet = queries.sale_sheet(session, row.sale_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("sales/strike_refund.html", form=form, sheet=sheet, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_refund(session, refund_id, reason=form.reason.data, now=clock.now()),
        to=lambda _refund: url_for("sales.sale", sale_id=row.sale_id),
        again=again,
        done="The refund is struck out. It counts no more.",
    )


def _return_form(row: SaleRow) -> ReturnForm:
    form = ReturnForm.from_request(refund=row.money.refund_left_cents, tax_refunded=row.money.tax_left_cents)
    form.offer("to_stage", STAGES_TO_COME_BACK_TO)
    return form


def _return_page(form: ReturnForm, sheet: SaleSheet) -> str:
    return render_template("sales/return.html", form=form, sheet=sheet)


def _check_return_page(form: ReturnForm, sheet: SaleSheet) -> ResponseReturnValue:
    """Every answer once more, or the form again with what cannot be."""
    if not form.validate():
        return _return_page(form, sheet), UNPROCESSABLE
    new = form.new_return(sheet.sale.id)
    try:
        with ledger().reading() as session:
            queries.check_return(session, sheet.sale, new, frame().today)
    except RuleError as refusal:
        form.refuse(refusal)
        return _return_page(form, sheet), UNPROCESSABLE
    return render_template("sales/check_return.html", form=form, sheet=sheet, new=new), NEVER_KEPT
