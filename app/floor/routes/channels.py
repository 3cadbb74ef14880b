"""Pages of the channels: those of the shop, and those one piece is offered through."""

from collections.abc import Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.quantities import percent_plain
from app.database.unit_of_work import Session
from app.floor import actions, queries
from app.floor.forms import ChannelForm, ChosenChannelsForm, CorrectChannelForm, FeeForm
from app.floor.queries import ChannelRow, FeeRow, ListingSheet
from app.floor.routes.blueprint import bp
from app.floor.routes.finding import choices_of, listed_piece
from app.pieces.queries import PieceRow
from app.web.filters import day
from app.web.forms import StrikeForm
from app.web.frame import frame, ledger
from app.web.saving import save
from app.web.takeaway import csv_answer

CHANNEL_HEADER = ("Channel", "Percent", "Fixed fee", "Put away", "From", "Note", "Struck out because")


@bp.route("/pieces/<tag>/channels", methods=["GET", "POST"])
def piece_channels(tag: str) -> ResponseReturnValue:
    piece, listing = listed_piece(tag)
    form = _channels_form(piece, listing)

    def again() -> str:
        return render_template("floor/piece_channels.html", form=form, piece=piece)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.change_channels(
            session, piece.id, channel_ids=form.channel_ids, version=form.version_number, now=clock.now()
        ),
        to=lambda _nothing: url_for("floor.change_price", tag=piece.tag),
        again=again,
        done=f"The channels of {piece.name} are as you chose them.",
    )


@bp.route("/settings/channels", methods=["GET", "POST"])
def channels() -> ResponseReturnValue:
    form = ChannelForm.from_request()

    def again() -> str:
        return render_template("floor/channels.html", form=form, rows=_channels_now())

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.add_channel(
            session,
            name=form.name.data,
            percent_hundredths=form.percent.data,
            fixed_cents=form.fixed.data,
        ),
        to=lambda _channel: url_for("floor.channels"),
        again=again,
        done=lambda _channel: f"{form.name.data} is added.",
    )


@bp.get("/settings/channels.csv")
def channels_csv() -> ResponseReturnValue:
    with ledger().reading() as session:
        fees = queries.fees_by_channel(session)
        rows = [(row, fees.get(row.id, [])) for row in queries.channels(session, include_put_away=True)]
    return csv_answer("channels.csv", CHANNEL_HEADER, _channel_cells(rows, frame().places))


@bp.route("/settings/channels/<int:channel_id>", methods=["GET", "POST"])
def channel(channel_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row, fees = queries.channel_by_id(session, channel_id), queries.fees_of(session, channel_id)
    form = _channel_form(row)

    def again() -> str:
        return render_template("floor/channel.html", form=form, row=row, fees=fees)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _correct_channel(session, row.id, form),
        to=lambda _channel: url_for("floor.channels"),
        again=again,
        done=lambda _channel: f"{form.name.data} is put right.",
    )


@bp.route("/settings/channels/<int:channel_id>/fee", methods=["GET", "POST"])
def add_fee(channel_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.channel_by_id(session, channel_id)
    form = FeeForm.from_request()

    def again() -> str:
        return render_template("floor/fee.html", form=form, row=row, present=row.on(frame().today))

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _add_fee(session, channel_id, form),
        to=lambda _fee: url_for("floor.channel", channel_id=channel_id),
        again=again,
        done=lambda _fee: f"What {row.name} takes from {day(form.from_date.data)} on is set.",
    )


@bp.route("/settings/channels/fees/<int:fee_id>/strike", methods=["GET", "POST"])
def strike_fee(fee_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        fee = queries.fee_by_id(session, fee_id)
        row = queries.channel_by_id(session, fee.channel_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("floor/strike_fee.html", form=form, fee=fee, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_fee(session, fee_id, reason=form.reason.data, now=clock.now()),
        to=lambda _fee: url_for("floor.channel", channel_id=row.id),
        again=again,
        done="The fee is struck out. Sales keep the fees they had.",
    )


def _add_fee(session: Session, channel_id: int, form: FeeForm) -> object:
    return actions.add_fee(
        session,
        channel_id,
        from_date=form.from_date.data,
        percent_hundredths=form.percent.data or 0,
        fixed_cents=form.fixed.data or 0,
        note=form.note.data,
        now=clock.now(),
    )


def _channel_cells(rows: list[tuple[ChannelRow, list[FeeRow]]], places: int) -> Iterator[tuple[Cell, ...]]:
    """A line for what each channel takes at first, and below it one for each of its dated fees, oldest first."""
    for row, fees in rows:
        put_away = "yes" if row.is_put_away else "no"
        percent = "" if row.is_unset else percent_plain(row.percent_hundredths)
        fixed = None if row.is_unset else Cents(row.fixed_cents, places)
        yield row.name, percent, fixed, put_away, None, "", ""
        for fee in reversed(fees):
            takes = percent_plain(fee.percent_hundredths), Cents(fee.fixed_cents, places)
            yield row.name, *takes, put_away, fee.from_date, fee.note, fee.struck_reason or ""


def _channels_now() -> list[ChannelRow]:
    """Every channel with what it takes today."""
    with ledger().reading() as session:
        return [row.on(frame().today) for row in queries.channels(session, include_put_away=True)]


def _channels_form(piece: PieceRow, listing: ListingSheet) -> ChosenChannelsForm:
    """The form with the channels in use and those the piece is on, which are chosen."""
    with ledger().reading() as session:
        offered = queries.channels(session)
    known = {row.id for row in offered}
    offered += [row for row in listing.channels if row.id not in known]
    chosen = [str(row.id) for row in listing.channels]
    form = ChosenChannelsForm.from_request(version=str(piece.version), channels=chosen)
    return form.offer("channels", choices_of(offered))


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
