"""A piece steps back, leaves without a sale, or is struck out as a mistake."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.desk import actions
from app.desk.forms.leaving import LeaveForm, StepBackForm, StrikeFindForm
from app.desk.queries import what_counts_on
from app.desk.routes.blueprint import bp
from app.pieces.queries import counting_purchase, piece_by_tag
from app.pieces.rules import LEAVING_WORDS, Leaving, Stage, back_by_hand, require_on_hand
from app.web.frame import ledger
from app.web.saving import save


@bp.route("/pieces/<tag>/step-back", methods=["GET", "POST"])
def step_back(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
    require_on_hand(piece.stage, piece.left_as)
    form = StepBackForm.from_request(version=str(piece.version))
    form.offer("to_stage", [(stage.value, stage.value.capitalize()) for stage in back_by_hand(piece.stage)])

    def again() -> str:
        return render_template("desk/step_back.html", form=form, piece=piece, is_listed=piece.stage is Stage.LISTED)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.step_back_piece(session, piece.id, **form.step(), now=clock.now()),
        to=lambda _step: url_for("desk.sheet", tag=piece.tag),
        again=again,
        done=f"{piece.name} is {form.to_stage.data} again.",
    )


@bp.route("/pieces/<tag>/leave", methods=["GET", "POST"])
def leave(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
    require_on_hand(piece.stage, piece.left_as)
    form = LeaveForm.from_request(version=str(piece.version))

    def again() -> str:
        return render_template("desk/leave.html", form=form, piece=piece, is_listed=piece.stage is Stage.LISTED)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.leave_piece(session, piece.id, **form.leaving(), now=clock.now()),
        to=lambda _piece: url_for("desk.sheet", tag=piece.tag),
        again=again,
        done=lambda _piece: f"{piece.name} is {LEAVING_WORDS[Leaving(form.how.data)]}.",
    )


@bp.route("/pieces/<tag>/strike", methods=["GET", "POST"])
def strike(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        counting, paid = what_counts_on(session, piece.id), counting_purchase(session, piece.id)
    form = StrikeFindForm.from_request(version=str(piece.version))

    def again() -> str:
        return render_template("desk/strike.html", form=form, piece=piece, counting=counting, paid=paid)

    if request.method == "GET":
        return again()
    reason, version = form.reason.data, form.version_number
    return save(
        form,
        lambda session: actions.strike_find(session, piece.id, reason=reason, version=version, now=clock.now()),
        to=lambda _piece: url_for("desk.sheet", tag=piece.tag),
        again=again,
        done=f"{piece.tag} is struck out.",
    )
