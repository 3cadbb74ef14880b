"""The pages of profit per piece: the list of all, and one piece's ladder down to its rows."""

from collections.abc import Iterator
from enum import StrEnum
from typing import TypeVar

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics.csv_out import Cell, Cents
from app.reports.queries import (
    ORDER_WORDS,
    SHOWN_WORDS,
    Order,
    PieceBooks,
    PieceList,
    Shown,
    piece_books,
    piece_list,
)
from app.reports.routes.blueprint import bp
from app.reports.routes.percent import percent_of_cash
from app.reports.routes.price import PriceBar, price_bars
from app.reports.routes.rungs import rungs_of_piece, time_rungs
from app.reports.rules import PART_WORDS, PieceProfit, price_parts
from app.web.frame import frame, ledger
from app.web.paging import page_of
from app.web.takeaway import csv_answer

E = TypeVar("E", bound=StrEnum)

PIECES_HEADER = (
    "Tag",
    "Piece",
    "State",
    "Put in",
    "In stock now",
    "Profit",
    "Minutes",
    "Per hour",
    "Earned on the money put in, %",
)
PIECE_HEADER = ("Term", "Date", "What", "Amount", "Struck out because")
STATE_WORDS = {"on hand": "on hand", "sold": "sold", "kept": "kept", "given_away": "given away", "scrapped": "scrapped"}


@bp.get("/books/pieces")
def pieces_profit() -> ResponseReturnValue:
    shown, order = _asked("show", Shown.ALL), _asked("sort", Order.PROFIT)
    with ledger().reading() as session:
        listed = piece_list(session, shown, order)
    page = page_of(len(listed.pieces), "reports.pieces_profit")
    return render_template(
        "reports/pieces.html",
        listed=listed,
        rows_shown=listed.pieces[page.offset : page.last],
        page=page,
        shown=shown,
        tabs_shown=_tabs(shown, order),
        orders=_order_links(shown, order),
        csv_href=url_for("reports.pieces_profit_csv", show=shown, sort=order),
        state_words=STATE_WORDS,
        percent_of_cash=percent_of_cash,
    )


@bp.get("/books/pieces.csv")
def pieces_profit_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        listed = piece_list(session, _asked("show", Shown.ALL), _asked("sort", Order.PROFIT))
    return csv_answer("profit-per-piece.csv", PIECES_HEADER, _pieces_cells(listed, frame().places))


@bp.get("/pieces/<tag>/profit")
def piece_profit(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        books = piece_books(session, tag)
    return render_template(
        "reports/piece.html",
        heading=f"{'Cost so far of' if books.profit.profit is None else 'Profit on'} {books.piece.name}",
        books=books,
        profit=books.profit,
        piece=books.piece,
        ladder=rungs_of_piece(books, as_put_in=books.profit.is_only_cost),
        times=time_rungs(books),
        bar=_bar(books.profit),
        part_words=PART_WORDS,
        state_words=STATE_WORDS,
        percent_of_cash=percent_of_cash,
    )


@bp.get("/pieces/<tag>/profit.csv")
def piece_profit_csv(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        books = piece_books(session, tag)
    return csv_answer(f"profit-{books.piece.tag}.csv", PIECE_HEADER, _piece_cells(books, frame().places))


def _asked(name: str, usual: E) -> E:
    """What the address asks for; anything unknown is the usual."""
    words = request.args.get(name, "")
    return next((member for member in type(usual) if member.value == words), usual)


def _bar(profit: PieceProfit) -> PriceBar | None:
    """Where the price of the piece went, once it is sold."""
    parts = price_parts(profit)
    return None if parts is None else price_bars([parts])[0]


def _tabs(shown: Shown, order: Order) -> list[dict[str, object]]:
    return [
        {"label": words, "href": url_for("reports.pieces_profit", show=each, sort=order), "is_here": each is shown}
        for each, words in SHOWN_WORDS.items()
    ]


def _order_links(shown: Shown, order: Order) -> list[tuple[str, str, bool]]:
    return [
        (words, url_for("reports.pieces_profit", show=shown, sort=each), each is order)
        for each, words in ORDER_WORDS.items()
    ]


def _pieces_cells(listed: PieceList, places: int) -> Iterator[tuple[Cell, ...]]:
    for piece in listed.pieces:
        money_in, put_in = Cents(piece.money_in, places), Cents(piece.put_in, places)
        profit, rate = (
            None if cents is None else Cents(cents, places) for cents in (piece.profit, piece.per_hour_cents)
        )
        on_cash = percent_of_cash(piece.return_on_cash).removesuffix(" %").replace("\u2212", "-")
        state = STATE_WORDS[piece.state]
        yield piece.tag, piece.title, state, money_in, put_in, profit, piece.minutes, rate, on_cash or None


def _piece_cells(books: PieceBooks, places: int) -> Iterator[tuple[Cell, ...]]:
    for term in books.profit.terms:
        for row, cents in zip(term.rows, term.amounts, strict=True):
            said = books.words[row]
            yield term.label, said.on, said.words, Cents(cents, places), None
    for struck in books.struck:
        yield "Struck out", struck.on, struck.words, Cents(struck.cents, places), struck.reason
