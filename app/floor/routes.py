"""Pages of what is for sale: the floor, listing, prices, holds, and the channels."""

from collections.abc import Iterator

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.errors import RuleError
from app.basics.quantities import percent_plain
from app.database.unit_of_work import Session
from app.floor import actions, queries
from app.floor.forms import ChannelForm, CorrectChannelForm, HoldForm, LiftForm, ListForm, PriceForm, show_misread
from app.floor.queries import ChannelRow, FloorCard, ListingSheet
from app.floor.rules import FLOOR_ORDER_WORDS, FloorOrder, cares_before_listing, require_listable
from app.photos.rules import Size, alt_words
from app.pieces.queries import PieceRow, piece_by_tag
from app.web.filters import days_count, money, short_day
from app.web.frame import frame, ledger
from app.web.saving import save
from app.web.silhouettes import silhouette
from app.web.takeaway import csv_answer
from app.web.tie_tag import TagPhoto, TieTag

bp = Blueprint("floor", __name__, template_folder="templates")

FLOOR_HEADER = (
    "Tag",
    "Piece",
    "Asking",
    "First asked",
    "Price changes",
    "Listed on",
    "Days",
    "Longer than the threshold",
    "Channels",
    "Held for",
    "Held until",
)
CHANNEL_HEADER = ("Channel", "Percent", "Fixed fee", "Put away")


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
    form = ListForm.from_request(version=str(piece.version)).offer("channels", _choices(offered))
    if request.method == "GET":
        require_listable(piece.stage, piece.left_as)
    elif "look" not in request.form:
        return save(
            form,
            lambda session: _list(session, piece, form),
            to=lambda _listing: url_for("desk.sheet", tag=piece.tag),
            again=lambda: _list_page(form, piece, offered),
            done=f"{piece.name} is on the floor.",
        )
    show_misread(form, "asking", "wanted")
    return _list_page(form, piece, offered)


@bp.route("/pieces/<tag>/price", methods=["GET", "POST"])
def change_price(tag: str) -> ResponseReturnValue:
    piece, listing = _listed(tag)
    form = PriceForm.from_request()

    def again() -> str:
        return _price_page(form, piece, listing)

    if request.method == "GET" or "look" in request.form:
        show_misread(form, "asking", "wanted")
        return again()
    return save(
        form,
        lambda session: _change_price(session, piece, form),
        to=lambda _price: url_for("desk.sheet", tag=piece.tag),
        again=again,
        done=lambda _price: f"{piece.name} is offered at {money(form.asking.data)} now.",
    )


@bp.route("/pieces/<tag>/hold", methods=["GET", "POST"])
def hold(tag: str) -> ResponseReturnValue:
    piece, listing = _listed(tag)
    form = HoldForm.from_request()

    def again() -> str:
        return render_template("floor/hold.html", form=form, piece=piece, listing=listing)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _hold(session, piece, form),
        to=lambda _hold: url_for("desk.sheet", tag=piece.tag),
        again=again,
        done=lambda _hold: f"Held for {form.held_for.data} until the end of {short_day(form.until.data)}.",
    )


@bp.post("/pieces/<tag>/hold/lift")
def lift_hold(tag: str) -> ResponseReturnValue:
    piece, listing = _listed(tag)
    return save(
        LiftForm.from_request(),
        lambda session: actions.lift_hold(session, piece.id, now=clock.now()),
        to=lambda _hold: url_for("desk.sheet", tag=piece.tag),
        again=lambda: render_template("floor/hold.html", form=HoldForm(), piece=piece, listing=listing),
        done="Nobody has it on hold now.",
    )


@bp.route("/settings/channels", methods=["GET", "POST"])
def channels() -> ResponseReturnValue:
    form = ChannelForm.from_request()

    def again() -> str:
        return render_template("floor/channels.html", form=form, rows=_all_channels())

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.add_channel(
            session,
            name=form.name.data,
            percent_hundredths=form.percent.data or 0,
            fixed_cents=form.fixed.data or 0,
        ),
        to=lambda _channel: url_for("floor.channels"),
        again=again,
        done=lambda _channel: f"{form.name.data} is added.",
    )


@bp.get("/settings/channels.csv")
def channels_csv() -> ResponseReturnValue:
    return csv_answer("channels.csv", CHANNEL_HEADER, _channel_cells(_all_channels(), frame().places))


@bp.route("/settings/channels/<int:channel_id>", methods=["GET", "POST"])
def channel(channel_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.channel_by_id(session, channel_id)
    form = _channel_form(row)

    def again() -> str:
        return render_template("floor/channel.html", form=form, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _correct_channel(session, row.id, form),
        to=lambda _channel: url_for("floor.channels"),
        again=again,
        done=lambda _channel: f"{form.name.data} is put right.",
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
    too_long = f", longer than {frame().sits_too_long_days}" if card.sits_too_long else ""
    return f"{days_count(card.days)}{too_long}"


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


def _channel_cells(rows: list[ChannelRow], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        fixed = Cents(row.fixed_cents, places)
        yield row.name, percent_plain(row.percent_hundredths), fixed, "yes" if row.is_put_away else "no"


def _choices(offered: list[ChannelRow]) -> list[tuple[str, str]]:
    return [(str(row.id), row.name) for row in offered]


def _chosen(form: ListForm, offered: list[ChannelRow]) -> list[ChannelRow]:
    """Those of the channels that are chosen; all of them as long as none is."""
    return [row for row in offered if str(row.id) in (form.channels.data or ())] or offered


def _all_channels() -> list[ChannelRow]:
    with ledger().reading() as session:
        return queries.channels(session, include_put_away=True)


def _listed(tag: str) -> tuple[PieceRow, ListingSheet]:
    """The piece and its spell on the floor; refuses a piece that is not on it (RuleError)."""
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        listing = queries.open_listing(session, piece.id)
    if listing is None:
        raise RuleError(f"{piece.name} is not on the floor. List it first.")
    return piece, listing


def _list_page(form: ListForm, piece: PieceRow, offered: list[ChannelRow]) -> str:
    return render_template(
        "floor/list.html",
        form=form,
        piece=piece,
        cares=cares_before_listing(
            piece.form, piece.age, piece.finish_colour, piece.finish_words, piece.materials, piece.notes
        ),
        remains=queries.what_remains(_chosen(form, offered), form.asking.data, form.wanted.data),
        asking=form.asking.data,
        wanted=form.wanted.data,
    )


def _price_page(form: PriceForm, piece: PieceRow, listing: ListingSheet) -> str:
    asking = listing.asking_cents if form.asking.data is None else form.asking.data
    return render_template(
        "floor/price.html",
        form=form,
        piece=piece,
        listing=listing,
        remains=queries.what_remains(listing.channels, asking, form.wanted.data),
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


def _channel_form(row: ChannelRow) -> CorrectChannelForm:
    return CorrectChannelForm.from_request(
        version=str(row.version),
        name=row.name,
        percent=row.percent_hundredths,
        fixed=row.fixed_cents,
        put_away=row.is_put_away,
    )


def _correct_channel(session: Session, channel_id: int, form: CorrectChannelForm) -> object:
    return actions.correct_channel(
        session,
        channel_id,
        name=form.name.data,
        percent_hundredths=form.percent.data or 0,
        fixed_cents=form.fixed.data or 0,
        is_put_away=bool(form.put_away.data),
        version=form.version_number,
    )
