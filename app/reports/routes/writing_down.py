"""The pages of write-downs: everything on hand on a day, one piece, and a mistake struck out."""

from collections.abc import Iterator
from datetime import date

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.dates import parse_day
from app.basics.errors import RuleError
from app.database.unit_of_work import Session
from app.floor.forms import show_misread
from app.reports.actions.writing_down import strike_write_down, write_down
from app.reports.forms.writing_down import WriteDownForm
from app.reports.models import WriteDown
from app.reports.queries.writing_down import PieceValued, StockValued, piece_valued, stock_valued, written_row
from app.reports.routes.blueprint import bp
from app.reports.rules.writing_down import change_needed
from app.web.forms import StrikeForm
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.saving import SEE_OTHER, save
from app.web.takeaway import csv_answer

WRITE_DOWN_HEADER = ("Tag", "Piece", "At cost", "Asked", "Will bring", "Written down", "Lower of the two")


@bp.get("/books/write-downs")
def write_downs() -> ResponseReturnValue:
    sheet, shows_all = _stock_valued(), request.args.get("show") == "all"
    pieces = sheet.pieces if shows_all else sheet.to_look_at
    page = page_of(len(pieces), "reports.write_downs")
    return render_template(
        "reports/write_downs.html",
        sheet=sheet,
        pieces=pieces[page.offset : page.last],
        page=page,
        tabs_shown=_tabs(sheet, shows_all=shows_all),
        days=_days_to_choose(),
    )


@bp.get("/books/write-downs.csv")
def write_downs_csv() -> ResponseReturnValue:
    sheet = _stock_valued()
    return csv_answer(f"write-downs-{sheet.on}.csv", WRITE_DOWN_HEADER, _cells(sheet, frame().places))


@bp.route("/pieces/<tag>/write-down", methods=["GET", "POST"])
def write_down_piece(tag: str) -> ResponseReturnValue:
    form = WriteDownForm.from_request(on_date=_asked_day())
    with ledger().reading() as session:
        found = piece_valued(session, tag, form.on_date.data or _asked_day())
    if "look" in request.form:
        return _look_at(form, found)
    if request.method == "GET":
        show_misread(form, "price_expected", "finish", "sell", "on_date")
        return _piece_page(form, found)
    return save(
        form,
        lambda session: _write_down(session, form, found),
        to=lambda row: url_for("reports.write_down_piece", tag=found.piece.tag, on=row.on_date),
        again=lambda: _piece_page(form, found),
        done=lambda row: "Written down." if row.cents > 0 else "Written back up.",
    )


@bp.route("/write-downs/<int:write_down_id>/strike", methods=["GET", "POST"])
def strike_written(write_down_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = written_row(session, write_down_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("reports/strike_write_down.html", form=form, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: strike_write_down(session, write_down_id, reason=form.reason.data, now=clock.now()),
        to=lambda _row: url_for("reports.write_down_piece", tag=row.tag, on=row.on_date),
        again=again,
        done="The write-down is struck out. It counts no more.",
    )


def _stock_valued() -> StockValued:
    with ledger().reading() as session:
        return stock_valued(session, _asked_day())


def _asked_day() -> date:
    """The day the address asks for; else the end of last year while that is open, and today once it is closed."""
    today = frame().today
    try:
        return min(parse_day(request.args.get("on", "")), today)
    except RuleError:
        return _days_to_choose()[0]


def _days_to_choose() -> list[date]:
    """The last year's end, where it is not closed and the books had begun, and today."""
    here = frame()
    end = date(here.today.year - 1, 12, 31)
    is_open = here.closed_through is None or end > here.closed_through
    had_begun = here.started_on is not None and here.started_on <= end
    return [end, here.today] if is_open and had_begun else [here.today]


def _tabs(sheet: StockValued, *, shows_all: bool) -> list[dict[str, object]]:
    def link(label: str, show: str | None, count: int, *, is_here: bool) -> dict[str, object]:
        href = url_for("reports.write_downs", on=sheet.on, show=show)
        return {"label": label, "href": href, "is_here": is_here, "count": count}

    return [
        link("To look at", None, len(sheet.to_look_at), is_here=not shows_all),
        link("All on hand", "all", len(sheet.pieces), is_here=shows_all),
    ]


def _look_at(form: WriteDownForm, found: PieceValued) -> ResponseReturnValue:
    """The same page with the answers in its address, where the change is worked out."""
    here = url_for("reports.write_down_piece", tag=found.piece.tag, _anchor="worked-out", **form.answers())
    return redirect(here, SEE_OTHER)


def _write_down(session: Session, form: WriteDownForm, found: PieceValued) -> WriteDown:
    new = form.new_write_down(found.piece.id)
    return write_down(session, new, capture_id=form.submit_token.data or "", now=clock.now())


def _piece_page(form: WriteDownForm, found: PieceValued) -> str:
    told = form.new_write_down(found.piece.id) if form.is_readable else None
    change = None
    if told is not None and found.value is not None:
        change = change_needed(found.value.cost, told.net_cents, found.value.written)
    return render_template("reports/write_down.html", form=form, found=found, told=told, change=change)


def _cells(sheet: StockValued, places: int) -> Iterator[tuple[Cell, ...]]:
    for piece in sheet.pieces:
        value = piece.value
        amounts = (value.cost, piece.asking, value.net, value.written, value.lower)
        yield piece.tag, piece.title, *(None if cents is None else Cents(cents, places) for cents in amounts)
