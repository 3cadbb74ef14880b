"""Write a trip down, look at it, strike it out."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import RuleError
from app.database.unit_of_work import Session
from app.photos.rules import StoredPhoto
from app.photos.store import keep_sent
from app.trips import actions, queries
from app.trips.forms import PLACES_LIST, PURPOSES_LIST, TripForm
from app.trips.models import Trip
from app.trips.routes.blueprint import bp
from app.trips.routes.log import log_page
from app.trips.rules import UNIT_WORDS, rate_plain, usual_unit
from app.web.filters import money
from app.web.forms import StrikeForm
from app.web.frame import frame, ledger, photo_dir
from app.web.saving import UNPROCESSABLE, save


@bp.route("/trips/new", methods=["GET", "POST"])
def add() -> ResponseReturnValue:
    form = _trip_form()

    def again() -> str:
        return _add_page(form)

    if request.method == "GET":
        return again()
    try:
        receipt = _kept_receipt(form)
    except RuleError as refusal:
        form.refuse(RuleError(refusal.message, "receipt"))
        return again(), UNPROCESSABLE
    return save(
        form,
        lambda session: _add(session, form, receipt),
        to=lambda trip: url_for("trips.trip", trip_id=trip.id),
        again=again,
        done=lambda trip: f"Trip saved: {money(trip.charged_cents)}.",
    )


@bp.get("/trips/<int:trip_id>")
def trip(trip_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.trip_by_id(session, trip_id)
    return render_template("trips/trip.html", row=row, back=log_page(row.on_date))


@bp.route("/trips/<int:trip_id>/strike", methods=["GET", "POST"])
def strike(trip_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        row = queries.trip_by_id(session, trip_id)
    form = StrikeForm.from_request()

    def again() -> str:
        return render_template("trips/strike.html", form=form, row=row)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.strike_trip(session, trip_id, reason=form.reason.data, now=clock.now()),
        to=lambda _trip: url_for("trips.trip", trip_id=trip_id),
        again=again,
        done="The trip is struck out. It counts no more.",
    )


def _trip_form() -> TripForm:
    """The form; a new one begins where the last trip began and has the pieces that the address names chosen."""
    with ledger().reading() as session:
        start = queries.usual_start(session)
    form = TripForm.from_request(from_place=start, pieces=request.args.getlist("piece"))
    with ledger().reading() as session:
        offered = queries.pieces_to_choose(session, form.tags)
    return form.offer_pieces((piece.tag, piece.name) for piece in offered)


def _add_page(form: TripForm) -> str:
    with ledger().reading() as session:
        places, purposes = queries.places(session), queries.purposes(session)
        rate = queries.shop_rates(session).find(frame().today)
    return render_template(
        "trips/add.html",
        form=form,
        places=places,
        places_list=PLACES_LIST,
        purposes=purposes,
        purposes_list=PURPOSES_LIST,
        rate=rate,
        plain=rate_plain,
        unit_words=UNIT_WORDS,
        unit=usual_unit(frame().units),
        back=url_for("desk.sheet", tag=form.tags[0]) if len(form.tags) == 1 else url_for("trips.log"),
    )


def _add(session: Session, form: TripForm, receipt: StoredPhoto | None) -> Trip:
    piece_ids = queries.pieces_meant(session, form.tags, form.typed.data)
    capture_id = form.submit_token.data or ""
    return actions.add_trip(session, form.new_trip(piece_ids), capture_id=capture_id, receipt=receipt, now=clock.now())


def _kept_receipt(form: TripForm) -> StoredPhoto | None:
    """The receipt, kept before the ledger is opened for writing: drawing its sizes takes a while."""
    if not (form.has_receipt and form.validate()):
        return None
    return keep_sent(photo_dir(), form.receipt.data)
