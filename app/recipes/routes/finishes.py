"""Pages of finishes as done: those of a piece, one of them, begun, stopped, and made again."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import NotFound
from app.database.unit_of_work import Session
from app.pieces.queries import PieceRow, piece_by_tag
from app.pieces.rules import Stage
from app.recipes import actions, queries
from app.recipes.forms.finishes import BeginFinishForm, ReasonForm
from app.recipes.models import Finish
from app.recipes.queries import FinishSheet
from app.recipes.routes.asking import Asked, with_reason
from app.recipes.routes.blueprint import bp
from app.recipes.rules import FinishState
from app.shelf.queries import pieces_on_hand
from app.web.forms import row_number
from app.web.frame import ledger
from app.web.saving import save


@bp.get("/pieces/<tag>/finishes")
def of_piece(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        finishes = queries.finishes_of(session, piece)
    return render_template("recipes/of_piece.html", piece=piece, finishes=finishes, now=clock.now())


@bp.route("/pieces/<tag>/finishes/new", methods=["GET", "POST"])
def begin(tag: str) -> ResponseReturnValue:
    asked = {name: row_number(request.args.get(name, "")) for name in ("recipe", "like", "redo")}
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        if piece.is_struck:
            raise NotFound("piece that counts")
        finishes = queries.finishes_of(session, piece)
        recipes = queries.recipe_rows(session, include_put_away=False)
        like = None if asked["like"] is None else queries.finish_by_id(session, asked["like"])
    form = BeginFinishForm.from_request(recipe=str(asked["recipe"] or ""), redo_of=str(asked["redo"] or ""))
    form.offer_all([(str(row.id), row.name) for row in recipes], _coverable(finishes))
    return _begin(form, piece, like)


def _begin(form: BeginFinishForm, piece: PieceRow, like: FinishSheet | None) -> ResponseReturnValue:
    def again() -> str:
        return render_template("recipes/begin.html", form=form, piece=piece, like=like)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.begin_finish(
            session,
            form.new_finish(piece.id, like.id if like else None),
            capture_id=form.submit_token.data or "",
            now=clock.now(),
        ),
        to=lambda finish: url_for("recipes.finish", finish_id=finish.id),
        again=again,
        done="The finish is begun. Its steps are below.",
    )


@bp.get("/finishes/<int:finish_id>")
def finish(finish_id: int) -> ResponseReturnValue:
    now = clock.now()
    with ledger().reading() as session:
        found = queries.finish_by_id(session, finish_id)
        written = queries.written_steps(session, found)
        learned = queries.learned_minutes(session)
    return render_template("recipes/finish.html", finish=found, written=written, learned=learned, now=now)


@bp.route("/finishes/<int:finish_id>/stop", methods=["GET", "POST"])
def stop(finish_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        found = queries.finish_by_id(session, finish_id)
    form = ReasonForm.from_request(version=str(found.version))
    asked = Asked(f"Stop {found.name}", "What was done of it stays, with its cost and time.", "Stop it")
    here = url_for("recipes.finish", finish_id=found.id)

    def act(session: Session) -> Finish:
        reason = form.reason.data
        return actions.stop_finish(session, found.id, reason=reason, version=form.version_number, now=clock.now())

    return with_reason(form, asked, act, back=here, done="The finish is stopped.")


@bp.get("/finishes/<int:finish_id>/again")
def again(finish_id: int) -> ResponseReturnValue:
    with ledger().reading() as session:
        found = queries.finish_by_id(session, finish_id)
        pieces = [row for row in pieces_on_hand(session) if row.stage is not Stage.LISTED]
    return render_template("recipes/again.html", finish=found, pieces=pieces)


def _coverable(finishes: list[FinishSheet]) -> list[tuple[str, str]]:
    over = [each for each in finishes if each.state is not FinishState.UNDER_WAY and each.covered_by_id is None]
    return [(str(each.id), each.name) for each in over]
