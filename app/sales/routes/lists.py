"""Pages of what was sold: all sales by month, and one sale with its mistake struck out."""

from collections.abc import Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.dates import Month
from app.basics.errors import RuleError
from app.basics.quantities import rate_plain
from app.sales import actions, queries
from app.sales.forms import MonthForm, StrikeForm
from app.sales.queries import ReturnRow, SoldRow
from app.sales.routes.blueprint import bp
from app.sales.routes.finding import sheet_of
from app.sales.rules import SaleMoney, require_standing_sale
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.saving import save
from app.web.takeaway import csv_answer

SALES_ON_A_PAGE = 40
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
    "Refunded in part",
    "Sales tax given back in part",
    "Fees given back in part",
    "Sales tax is for",
    "Rate of sales tax, percent",
    "Sales tax collected by the channel",
    "Why no sales tax",
)


@bp.get("/sales")
def all_sales() -> ResponseReturnValue:
    month = _asked_month()
    with ledger().reading() as session:
        sums = queries.sums_of_sales(session, month)
        page = page_of(sums.rows, "sales.all_sales", size=SALES_ON_A_PAGE)
        rows = queries.all_sales(session, month=month, limit=SALES_ON_A_PAGE, offset=page.offset)
        backs = queries.returns_in(session, month) if month else []
        refunds = queries.refunds_in(session, month) if month else []
        months = queries.months_with_sales(session)
    form = MonthForm(month=str(month or "")).offer_months(months)
    return render_template(
        "sales/all.html", rows=rows, backs=backs, refunds=refunds, sums=sums, month=month, form=form, page=page
    )


@bp.get("/sales.csv")
def all_sales_csv() -> ResponseReturnValue:
    month = _asked_month()
    with ledger().reading() as session:
        rows = queries.all_sales(session, month=month)
    return csv_answer(f"sales-{month or 'all'}.csv", SALES_HEADER, _sales_cells(rows, frame().places))


@bp.get("/sales/<int:sale_id>")
def sale(sale_id: int) -> ResponseReturnValue:
    return render_template("sales/sale.html", sheet=sheet_of(sale_id))


@bp.route("/sales/<int:sale_id>/strike", methods=["GET", "POST"])
def strike(sale_id: int) -> ResponseReturnValue:
    sheet = sheet_of(sale_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("sales/strike.html", form=form, sheet=sheet)

    if request.method == "GET":
        row = sheet.sale
        is_refunded = bool(row.counting_refunds)
        require_standing_sale(is_struck=row.is_struck, is_returned=row.came_back is not None, is_refunded=is_refunded)
        return again()
    return save(
        form,
        lambda session: actions.strike_sale(session, sale_id, reason=form.reason.data, now=clock.now()),
        to=lambda _sale: url_for("sales.sale", sale_id=sale_id),
        again=again,
        done="The sale is struck out. The piece is back where it was.",
    )


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
            *(Cents(cents, places) for cents in _given_back(sale.money)),
            sale.tax_place,
            "" if sale.tax_rate_ppm is None else rate_plain(sale.tax_rate_ppm),
            Cents(sale.channel_tax_cents, places),
            sale.untaxed_reason,
        )


def _return_cells(back: ReturnRow | None, places: int) -> tuple[Cell, ...]:
    if back is None:
        return (None,) * 5
    amounts = (back.refund_cents, back.tax_refunded_cents, back.fees_back_cents, back.delivery_back_cents)
    return back.returned_on, *(Cents(cents, places) for cents in amounts)


def _given_back(money: SaleMoney) -> tuple[int, int, int]:
    return money.refunded_cents, money.tax_refunded_cents, money.fees_back_cents
