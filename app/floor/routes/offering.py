"""Pages of what is for sale: the floor, listing, prices and holds."""

from collections.abc import Iterator

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.database.unit_of_work import Session
from app.floor import actions, queries
from app.floor.forms import HoldForm, LiftForm, ListForm, PriceForm, show_misread
from app.floor.queries import ChannelRow, FloorCard, ListingSheet
from app.floor.routes.blueprint import bp
from app.floor.routes.finding import choices_of, listed_piece
from app.floor.rules import FLOOR_ORDER_WORDS, FloorOrder, require_listable
from app.photos.rules import Size, alt_words
from app.pieces.queries import PieceRow, piece_by_tag
from app.recipes.queries import leaving_of, surface_of
from app.web.filters import days_count, money, short_day
from app.web.frame import frame, ledger
from app.web.saving import SEE_OTHER, save
from app.web.silhouettes import silhouette
from app.web.takeaway import csv_answer
from app.web.tie_tag import TagPhoto, TieTag

FLOOR_HEADER = (
    "Tag",
    "Piece",
    "Asking",
    "First asked",
    "Price changes",
    "Listed on",
    "Days",
    "Sitting too long",
    "Channels",
    "Held for",
    "Held until",
)


@bp.get("/floor")
def floor() -> ResponseReturnValue:
    order = _asked_order()
    cards = _cards(order)
    return render_template(
        "floor/floor.html",
        cards=[(card, _tag_of(card)) for card in cards],
        number=len(cards),
        asked_in_all=sum(card.listing.asking_cents for card in cards),
        slow=sum(card.sits_too_long for card in cards),
        orders=_order_links(order),
        csv_href=url_for("floor.floor_csv", order=order.value),
    )


@bp.get("/floor.csv")
def floor_csv() -> ResponseReturnValue:
    return csv_answer("floor.csv", FLOOR_HEADER, _floor_cells(_cards(_asked_order()), frame().places))


@bp.route("/pieces/<tag>/list", methods=["GET", "POST"])
def list_piece(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece, offered = piece_by_tag(session, tag), queries.channels(session)
    form = ListForm.from_request(version=str(piece.version)).offer("channels", choices_of(offered))
    if request.method == "GET":
        require_listable(piece.stage, piece.left_as)
        show_misread(form, "asking", "wanted")
        return _list_page(form, piece, offered)
    if "look" in request.form:
        return _look_at("floor.list_piece", piece, form)
    return save(
        form,
        lambda session: _list(session, piece, form),
        to=lambda _listing: url_for("desk.sheet", tag=piece.tag),
        again=lambda: _list_page(form, piece, offered),
        done=f"{piece.name} is on the floor.",
    )


@bp.route("/pieces/<tag>/price", methods=["GET", "POST"])
def change_price(tag: str) -> ResponseReturnValue:
    piece, listing = listed_piece(tag)
    form = PriceForm.from_request()

    def again() -> str:
        return _price_page(form, piece, listing)

    if request.method == "GET":
        show_misread(form, "asking", "wanted")
        return again()
    if "look" in request.form:
        return _look_at("floor.change_price", piece, form)
    return save(
        form,
        lambda session: _change_price(session, piece, form),
        to=lambda _price: url_for("desk.sheet", tag=piece.tag),
        again=again,
        done=lambda _price: f"{piece.name} is offered at {money(form.asking.data)} now.",
    )


@bp.route("/pieces/<tag>/hold", methods=["GET", "POST"])
def hold(tag: str) -> ResponseReturnValue:
    piece, listing = listed_piece(tag)
    form = HoldForm.from_request()

    def again() -> str:
        return render_template("floor/hold.html", form=form, piece=piece, listing=listing)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _hold(session, piece, form),
        to=lambda _hold: url_for("sales.take_deposit" if "deposit" in request.form else "desk.sheet", tag=piece.tag),
        again=again,
        done=lambda _hold: f"Held for {form.held_for.data} until {short_day(form.until.data)}.",
    )


@bp.post("/pieces/<tag>/hold/lift")
def lift_hold(tag: str) -> ResponseReturnValue:
    piece, listing = listed_piece(tag)
    return save(
        LiftForm.from_request(),
        lambda session: actions.lift_hold(session, piece.id, now=clock.now()),
        to=lambda _hold: url_for("desk.sheet", tag=piece.tag),
        again=lambda: render_template("floor/hold.html", form=HoldForm(), piece=piece, listing=listing),
        done="Nobody has it on hold now.",
    )


def _asked_order() -> FloorOrder:
    asked = request.args.get("order", "")
    return FloorOrder(asked) if asked in set(FloorOrder) else FloorOrder.LONGEST


def _cards(order: FloorOrder) -> list[FloorCard]:
    here = frame()
    with ledger().reading() as session:
        return queries.floor_cards(session, here.today, order=order, too_long_days=here.sits_too_long_days)


def _order_links(present: FloorOrder) -> list[dict[str, object]]:
    return [
        {"label": words, "href": url_for("floor.floor", order=order.value), "is_here": order is present}
        for order, words in FLOOR_ORDER_WORDS.items()
    ]


def _tag_of(card: FloorCard) -> TieTag:
    piece = card.piece
    return TieTag(
        number=piece.tag,
        title=piece.name,
        stage_word=_state_word(card),
        href=url_for("desk.sheet", tag=piece.tag),
        photo=_photo_of(card),
        drawing=silhouette(piece.form, piece.finish_colour),
        price_line=money(card.listing.asking_cents),
        extra_line=_days_line(card),
    )


def _photo_of(card: FloorCard) -> TagPhoto | None:
    if card.photo is None:
        return None
    box = card.photo.box(Size.SMALL)
    source = url_for("photos.show", photo_id=card.photo.id, size=Size.SMALL.value)
    return TagPhoto(src=source, width=box.width, height=box.height, alt=alt_words(card.piece.name, 1, 1))


def _state_word(card: FloorCard) -> str:
    held = card.listing.hold
    if held is None:
        return "listed"
    return "hold ran out" if held.has_run_out(frame().today) else "held"


def _days_line(card: FloorCard) -> str:
    if card.days == 0:
        return "Listed today"
    return days_count(card.days) + (", too long" if card.sits_too_long else "")


def _floor_cells(cards: list[FloorCard], places: int) -> Iterator[tuple[Cell, ...]]:
    for card in cards:
        held = card.listing.hold
        yield (
            card.piece.tag,
            card.piece.name,
            Cents(card.listing.asking_cents, places),
            Cents(card.listing.first_asked_cents, places),
            card.listing.price_moves,
            card.listing.listed_on,
            card.days,
            "yes" if card.sits_too_long else "no",
            "; ".join(row.name for row in card.listing.channels),
            held.held_for if held else "",
            held.until if held else None,
        )


def _chosen(form: ListForm, offered: list[ChannelRow]) -> list[ChannelRow]:
    """Those of the channels that are chosen; all of them as long as none is."""
    return [row for row in offered if str(row.id) in (form.channels.data or ())] or offered


def _look_at(endpoint: str, piece: PieceRow, form: ListForm | PriceForm) -> ResponseReturnValue:
    """The same page with the answers in its address, where what remains is worked out."""
    return redirect(url_for(endpoint, tag=piece.tag, _anchor="what-remains", **form.answers()), SEE_OTHER)


def _list_page(form: ListForm, piece: PieceRow, offered: list[ChannelRow]) -> str:
    with ledger().reading() as session:
        surface, leaving = surface_of(session, piece.id).surface, leaving_of(session, piece, clock.now())
    return render_template(
        "floor/list.html",
        form=form,
        piece=piece,
        harms=queries.harms_of(piece),
        cautions=queries.cautions_of(piece, surface),
        leaving=leaving,
        remains=queries.what_remains(_chosen(form, offered), form.asking.data, form.wanted.data, day=frame().today),
        asking=form.asking.data,
        wanted=form.wanted.data,
        offered=[row.on(frame().today) for row in offered],
    )


def _price_page(form: PriceForm, piece: PieceRow, listing: ListingSheet) -> str:
    asking = listing.asking_cents if form.asking.data is None else form.asking.data
    return render_template(
        "floor/price.html",
        form=form,
        piece=piece,
        listing=listing,
        remains=queries.what_remains(listing.channels, asking, form.wanted.data, day=frame().today),
        asking=asking,
        wanted=form.wanted.data,
    )


def _list(session: Session, piece: PieceRow, form: ListForm) -> object:
    return actions.list_piece(
        session,
        piece.id,
        asking_cents=form.asking.data,
        channel_ids=form.channel_ids,
        on_date=form.on_date.data,
        version=form.version_number,
        now=clock.now(),
    )


def _change_price(session: Session, piece: PieceRow, form: PriceForm) -> object:
    return actions.change_price(
        session,
        piece.id,
        asking_cents=form.asking.data,
        on_date=form.on_date.data,
        note=form.note.data,
        now=clock.now(),
    )


def _hold(session: Session, piece: PieceRow, form: HoldForm) -> object:
    return actions.hold_piece(
        session,
        piece.id,
        held_for=form.held_for.data,
        until=form.until.data,
        note=form.note.data,
        now=clock.now(),
    )
