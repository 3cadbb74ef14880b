"""Pages of the channels: those of the shop, and those one piece is offered through."""

from collections.abc import Iterator

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.csv_out import Cell, Cents
from app.basics.quantities import percent_plain
from app.database.unit_of_work import Session
from app.floor import actions, queries
from app.floor.forms import ChannelForm, ChosenChannelsForm, CorrectChannelForm
from app.floor.queries import ChannelRow, ListingSheet
from app.floor.routes.blueprint import bp
from app.floor.routes.finding import choices_of, listed_piece
from app.pieces.queries import PieceRow
from app.web.frame import frame, ledger
from app.web.saving import save
from app.web.takeaway import csv_answer

CHANNEL_HEADER = ("Channel", "Percent", "Fixed fee", "Put away")


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
        return render_template("floor/channels.html", form=form, rows=_all_channels())

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


def _channel_cells(rows: list[ChannelRow], places: int) -> Iterator[tuple[Cell, ...]]:
    for row in rows:
        percent = "" if row.is_unset else percent_plain(row.percent_hundredths)
        fixed = None if row.is_unset else Cents(row.fixed_cents, places)
        yield row.name, percent, fixed, "yes" if row.is_put_away else "no"


def _all_channels() -> list[ChannelRow]:
    with ledger().reading() as session:
        return queries.channels(session, include_put_away=True)


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
