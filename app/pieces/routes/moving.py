"""Pages that move a piece by hand: a step forward, and coming back after leaving."""

from flask import flash, redirect, render_template, request
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.database.unit_of_work import Session
from app.pieces import actions
from app.pieces.forms import BringBackForm, StepForm
from app.pieces.models import Piece, Step
from app.pieces.queries import leavings_of, piece_by_tag
from app.pieces.routes.blueprint import bp
from app.pieces.routes.changing import shown_or_saved, the_piece, to_sheet
from app.pieces.rules import Stage, lead_cautions, next_by_hand
from app.web.frame import ledger
from app.web.saving import SEE_OTHER


@bp.route("/pieces/<tag>/step", methods=["GET", "POST"])
def step(tag: str) -> ResponseReturnValue:
    piece = the_piece(tag)
    stages = next_by_hand(piece.stage) if piece.is_on_hand else ()
    wanted = request.args.get("to", "")
    chosen = wanted if wanted in stages else stages[0].value if stages else None
    form = StepForm.from_request(obj=piece, data={"to_stage": chosen})
    form.offer("to_stage", [(stage.value, stage.value.capitalize()) for stage in stages])

    def again() -> str:
        cautions = lead_cautions(piece.age) if piece.stage is Stage.SOURCED else ()
        return render_template("pieces/step.html", form=form, piece=piece, stages=stages, cautions=cautions)

    def act(session: Session) -> Step:
        to_stage, on_date = Stage(form.to_stage.data), form.on_date.data
        return actions.step_forward(
            session, piece.id, to_stage, on_date=on_date, version=form.version_number, now=clock.now()
        )

    return shown_or_saved(
        form, act, again=again, to=lambda _step: to_sheet(piece), done=f"It is {form.to_stage.data} now."
    )


@bp.post("/pieces/<tag>/undo-step")
def undo_step(tag: str) -> ResponseReturnValue:
    with ledger().writing() as session:
        piece = piece_by_tag(session, tag)
        actions.undo_step(session, piece.id, request.form.get("step", 0, type=int), now=clock.now())
    flash("The step is undone.")
    return redirect(to_sheet(piece), SEE_OTHER)


@bp.route("/pieces/<tag>/bring-back", methods=["GET", "POST"])
def bring_back(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        leavings = leavings_of(session, piece.id)
    form = BringBackForm.from_request(obj=piece)

    def again() -> str:
        left = leavings[-1] if piece.left_as else None
        return render_template("pieces/bring_back.html", form=form, piece=piece, left=left)

    def act(session: Session) -> Piece:
        on_date, reason = form.on_date.data, form.reason.data
        return actions.bring_back(
            session, piece.id, on_date=on_date, reason=reason, version=form.version_number, now=clock.now()
        )

    return shown_or_saved(form, act, again=again, to=to_sheet, done="It is back.")
