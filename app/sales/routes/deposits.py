"""Pages of deposits: take one, what is owed, and what became of each."""

from collections.abc import Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.floor.queries import open_listing
from app.pieces.queries import piece_by_tag
from app.sales import actions, queries
from app.sales.forms import WAYS_TO_END, DepositForm, EndForm, StrikeForm
from app.sales.queries import DepositRow
from app.sales.routes.blueprint import bp
from app.sales.rules import ENDING_WORDS, require_depositable
from app.web.filters import money
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.saving import save
from app.web.takeaway import csv_answer

ENDED_ON_A_PAGE = 40
DEPOSITS_HEADER = (
    "Deposit",
    "Tag",
    "Piece",
    "Paid by",
    "Paid on",
    "Amount",
    "Note",
    "Still owed",
    "What became of it",
    "On",
    "Of it",
    "Sale",
    "Why",
    "Counts",
    "Struck out because",
)


@bp.route("/pieces/<tag>/deposit", methods=["GET", "POST"])
def take_deposit(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        listing = open_listing(session, piece.id)
    require_depositable(piece.stage, piece.left_as)
    form = DepositForm.from_request(payer=listing.hold.held_for if listing and listing.hold else "")

    def again() -> str:
        return render_template("sales/take_deposit.html", form=form, piece=piece)

    if request.method == "GET":
        return again()
    number = str(form.submit_token.data or "")
    return save(
        form,
        lambda session: actions.take_deposit(session, form.new_deposit(piece.id), capture_id=number, now=clock.now()),
        to=lambda deposit: url_for("sales.deposit", deposit_id=deposit.id),
        again=again,
        done=lambda deposit: f"A deposit of {money(deposit.amount_cents)} is taken.",
    )


@bp.get("/deposits")
def deposits() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = queries.all_deposits(session)
    standing = [row for row in rows if row.stands]
    ended = [row for row in rows if not row.stands]
    page = page_of(len(ended), "sales.deposits", size=ENDED_ON_A_PAGE)
    return render_template(
        "sales/deposits.html",
        standing=standing,
        owed=sum(row.left_cents for row in standing),
        ended=ended[page.offset : page.last],
        page=page,
    )


@bp.get("/deposits.csv")
def deposits_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        rows = queries.all_deposits(session)
    return csv_answer("deposits.csv", DEPOSITS_HEADER, _deposit_cells(rows, frame().places))


@bp.get("/deposits/<int:deposit_id>")
def deposit(deposit_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = queries.deposit_sheet(session, deposit_id)
    return render_template("sales/deposit.html", sheet=sheet)


@bp.route("/deposits/<int:deposit_id>/end", methods=["GET", "POST"])
def end_deposit(deposit_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = queries.deposit_sheet(session, deposit_id)
    form = EndForm.from_request(amount=sheet.deposit.left_cents).offer("how", WAYS_TO_END)

    def again() -> str:
        return render_template("sales/end_deposit.html", form=form, sheet=sheet)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.end_deposit(session, form.new_end(deposit_id), now=clock.now()),
        to=lambda _end: url_for("sales.deposit", deposit_id=deposit_id),
        again=again,
        done=lambda end: f"{money(end.cents)} of the deposit: {ENDING_WORDS[end.how].lower()}.",
    )


@bp.route("/deposits/<int:deposit_id>/strike", methods=["GET", "POST"])
def strike_deposit(deposit_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = queries.deposit_sheet(session, deposit_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("sales/strike_deposit.html", form=form, sheet=sheet, end=None)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_deposit(session, deposit_id, reason=form.reason.data, now=clock.now()),
        to=lambda _deposit: url_for("sales.deposit", deposit_id=deposit_id),
        again=again,
        done="The deposit is struck out. It counts no more.",
    )


@bp.route("/deposits/ends/<int:end_id>/strike", methods=["GET", "POST"])
def strike_deposit_end(end_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        end = queries.end_row(session, end_id)
        sheet = queries.deposit_sheet(session, end.deposit_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("sales/strike_deposit.html", form=form, sheet=sheet, end=end)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_end(session, end_id, reason=form.reason.data, now=clock.now()),
        to=lambda _end: url_for("sales.deposit", deposit_id=end.deposit_id),
        again=again,
        done="It is struck out. The deposit stands again.",
    )


def _deposit_cells(rows: list[DepositRow], places: int) -> Iterator[tuple[Cell, ...]]:
    """A line for each deposit, and below it one for each thing that became of it."""
    for row in rows:
        head = (row.id, row.tag, row.piece_name, row.payer, row.on_date)
        yield (
            *head,
            Cents(row.amount_cents, places),
            row.note,
            Cents(row.left_cents, places),
            *("", None, None, None, ""),
            "no" if row.is_struck else "yes",
            row.struck_reason or "",
        )
        for end in row.ends:
            yield (
                *head,
                *(None, "", None),
                end.how_words,
                end.on_date,
                Cents(end.cents, places),
                end.sale_id,
                end.reason,
                "no" if end.is_struck else "yes",
                end.struck_reason or "",
            )
