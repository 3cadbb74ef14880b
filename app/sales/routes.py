"""Pages of sales: sell a piece, what was sold, mistakes struck out, and what came back."""

from collections.abc import Iterator

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.dates import Month
from app.basics.errors import RuleError
from app.floor.queries import ChannelRow
from app.sales import actions, queries
from app.sales.forms import NO_CHANNEL, STAGES_TO_COME_BACK_TO, MonthForm, ReturnForm, SellForm, StrikeForm
from app.sales.queries import ReturnRow, SaleRow, SaleSheet, SellCard, SoldRow
from app.sales.rules import NewSale, require_returnable, require_sellable, require_standing_sale
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.saving import SEE_OTHER, UNPROCESSABLE, save
from app.web.takeaway import csv_answer

bp = Blueprint("sales", __name__, template_folder="templates")

SALES_ON_A_PAGE = 40
# A page that asks whether to record is fetched anew by Back, so that it can say when that was done.
NEVER_KEPT = {"Cache-Control": "no-store"}
SALES_HEADER = (
    "Sale",
    "Tag",
    "Piece",
    "Sold on",
    "Sold through",
    "Price",
    "Delivery charged",
    "Delivery paid",
    "Fees",
    "What remains after fees and delivery",
    "Sales tax collected",
    "Buyer",
    "Note",
    "Counts",
    "Struck out because",
    "Came back on",
    "Refunded",
    "Sales tax given back",
    "Fees given back",
    "Delivery got back",
)


@bp.get("/pieces/<tag>/sell")
def sell(tag: str) -> ResponseReturnValue:
    card = _card(tag)
    if card.standing_sale is not None:
        flash(f"{card.piece.name} is sold already. This is its sale.")
        return redirect(url_for("sales.sale", sale_id=card.standing_sale.id), SEE_OTHER)
    require_sellable(card.piece.stage, card.piece.left_as)
    return _sell_page(_sell_form(card), card)


@bp.get("/pieces/<tag>/sell/check")
def check(tag: str) -> ResponseReturnValue:
    card = _card(tag)
    if card.standing_sale is not None:
        page = render_template("sales/recorded.html", sale=card.standing_sale, piece=card.piece, came_back=None)
        return page, NEVER_KEPT
    require_sellable(card.piece.stage, card.piece.left_as)
    form = _sell_form(card)
    return _check_page(form, card) if form.is_told else _sell_page(form, card)


@bp.post("/pieces/<tag>/sell/confirm")
def confirm(tag: str) -> ResponseReturnValue:
    card = _card(tag)
    form = _sell_form(card)
    return save(
        form,
        lambda session: actions.record_sale(
            session,
            _agreed(form, card),
            capture_id=str(form.submit_token.data or ""),
            now=clock.now(),
        ),
        to=lambda sale: url_for("sales.sale", sale_id=sale.id),
        again=lambda: _sell_page(form, card),
        done="The sale is recorded.",
    )


@bp.get("/sales")
def all_sales() -> ResponseReturnValue:
    month = _asked_month()
    with ledger().reading() as session:
        sums = queries.sums_of_sales(session, month)
        page = page_of(sums.rows, "sales.all_sales", size=SALES_ON_A_PAGE)
        rows = queries.all_sales(session, month=month, limit=SALES_ON_A_PAGE, offset=page.offset)
        backs = queries.returns_in(session, month) if month else []
        months = queries.months_with_sales(session)
    form = MonthForm(month=str(month or "")).offer_months(months)
    return render_template("sales/all.html", rows=rows, backs=backs, sums=sums, month=month, form=form, page=page)


@bp.get("/sales.csv")
def all_sales_csv() -> ResponseReturnValue:
    month = _asked_month()
    with ledger().reading() as session:
        rows = queries.all_sales(session, month=month)
    return csv_answer(f"sales-{month or 'all'}.csv", SALES_HEADER, _sales_cells(rows, frame().places))


@bp.get("/sales/<int:sale_id>")
def sale(sale_id: int) -> ResponseReturnValue:
    return render_template("sales/sale.html", sheet=_sheet(sale_id))


@bp.route("/sales/<int:sale_id>/strike", methods=["GET", "POST"])
def strike(sale_id: int) -> ResponseReturnValue:
    sheet = _sheet(sale_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("sales/strike.html", form=form, sheet=sheet)

    if request.method == "GET":
        back = sheet.sale.came_back is not None
        require_standing_sale(is_struck=sheet.sale.is_struck, is_returned=back)
        return again()
    return save(
        form,
        lambda session: actions.strike_sale(session, sale_id, reason=form.reason.data, now=clock.now()),
        to=lambda _sale: url_for("sales.sale", sale_id=sale_id),
        again=again,
        done="The sale is struck out. The piece is back where it was.",
    )


@bp.route("/sales/<int:sale_id>/return", methods=["GET", "POST"])
def take_back(sale_id: int) -> ResponseReturnValue:
    sheet = _sheet(sale_id)
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
    sheet = _sheet(sale_id)
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
        if request.method == "GET":
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


def _card(tag: str) -> SellCard:
    with ledger().reading() as session:
        return queries.sell_card(session, tag)


def _sheet(sale_id: int) -> SaleSheet:
    with ledger().reading() as session:
        return queries.sale_sheet(session, sale_id)


def _sell_form(card: SellCard) -> SellForm:
    listing = card.listing
    chosen = str(listing.channels[0].id) if listing and listing.channels else ""
    form = SellForm.from_request(price=listing.asking_cents if listing else None, channel=chosen)
    form.offer("channel", [*((str(row.id), row.name) for row in card.channels), NO_CHANNEL])
    return form


def _sell_page(form: SellForm, card: SellCard) -> str:
    return render_template("sales/sell.html", form=form, card=card)


def _proposed(form: SellForm, card: SellCard) -> int:
    return card.fee_proposed(form.channel_id, form.price.data)


def _agreed(form: SellForm, card: SellCard) -> NewSale:
    return form.new_sale(card.piece.id, form.agreed_fees_cents(_proposed(form, card)))


def _check_page(form: SellForm, card: SellCard) -> ResponseReturnValue:
    """Every answer once more with what remains, or the form again with what cannot be."""
    if not form.validate():
        return _sell_page(form, card), UNPROCESSABLE
    proposed = _proposed(form, card)
    new = form.new_sale(card.piece.id, form.fees_cents(proposed))
    try:
        with ledger().reading() as session:
            queries.check_sale(session, new, frame().today)
    except RuleError as refusal:
        form.refuse(refusal)
        return _sell_page(form, card), UNPROCESSABLE
    form.agree_on(new.fees_cents)
    through = next((row for row in card.channels if row.id == new.channel_id), None)
    return render_template(
        "sales/check.html", form=form, card=card, new=new, through=through, fee_note=_fee_note(form, through)
    ), NEVER_KEPT


def _fee_note(form: SellForm, through: ChannelRow | None) -> str:
    if form.fees.data is not None:
        return "as you typed"
    if through and through.is_unset:
        return f"no fee is set for {through.name}; write it if it took one"
    return f"proposed from what {through.name} takes" if through else "no channel, so none proposed"


def _return_form(row: SaleRow) -> ReturnForm:
    form = ReturnForm.from_request(refund=row.taken_in_cents, tax_refunded=row.tax_cents)
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
        queries.check_return(sheet.sale, new, frame().today)
    except RuleError as refusal:
        form.refuse(refusal)
        return _return_page(form, sheet), UNPROCESSABLE
    return render_template("sales/check_return.html", form=form, sheet=sheet, new=new), NEVER_KEPT


def _asked_month() -> Month | None:
    """The month the address names; all of them when it names none that can be."""
    try:
        return Month.parse(request.args.get("month", ""))
    except RuleError:
        return None


def _sales_cells(rows: list[SoldRow], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        sale = row.sale
        yield (
            sale.id,
            row.tag,
            row.piece_name,
            sale.sold_on,
            sale.channel_name,
            Cents(sale.price_cents, places),
            Cents(sale.delivery_charged_cents, places),
            Cents(sale.delivery_paid_cents, places),
            Cents(sale.fees_cents, places),
            Cents(sale.net_cents, places),
            Cents(sale.tax_cents, places),
            sale.buyer_name,
            sale.note,
            "no" if sale.is_struck else "yes",
            sale.struck_reason or "",
            *_return_cells(sale.came_back, places),
        )


def _return_cells(back: ReturnRow | None, places: int) -> tuple[Cell, ...]:
    if back is None:
        return (None,) * 5
    amounts = (back.refund_cents, back.tax_refunded_cents, back.fees_back_cents, back.delivery_back_cents)
    return back.returned_on, *(Cents(cents, places) for cents in amounts)
