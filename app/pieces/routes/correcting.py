"""Put right what is known of a piece: facts, finish, next note and dates."""

from dataclasses import fields

from flask import render_template
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.database.unit_of_work import Session
from app.pieces import actions
from app.pieces.forms import START_COLOUR, FactsForm, FinishForm, NextForm, dates_form
from app.pieces.models import Piece
from app.pieces.queries import corrections_of, piece_by_tag, steps_of
from app.pieces.routes.blueprint import bp
from app.pieces.routes.changing import shown_or_saved, the_piece, to_sheet
from app.pieces.rules import Facts, field_of, lead_cautions, time_in_stages
from app.web.frame import frame, ledger
from app.web.silhouettes import silhouette


@bp.route("/pieces/<tag>/correct", methods=["GET", "POST"])
def correct(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        corrections = corrections_of(session, piece.id)
    form = FactsForm.from_request(data={**_as_filled_in(piece.facts), "version": piece.version})

    def again() -> str:
        page = {"form": form, "piece": piece, "corrections": corrections}
        return render_template("pieces/correct.html", **page, cautions=lead_cautions(form.age.data))

    def act(session: Session) -> Piece:
        facts = form.facts(piece.facts)
        return actions.correct_facts(session, piece.id, facts, version=form.version_number, now=clock.now())

    return shown_or_saved(form, act, again=again, to=to_sheet, done="Put right. Its history keeps what it said before.")


def _as_filled_in(facts: Facts) -> dict[str, object]:
    known = {one.name: getattr(facts, one.name) for one in fields(facts)}
    condition = facts.condition.value if facts.condition else ""
    return known | {"form": facts.form.value, "age": facts.age.value, "condition": condition}


@bp.route("/pieces/<tag>/finish", methods=["GET", "POST"])
def finish(tag: str) -> ResponseReturnValue:
    piece = the_piece(tag)
    shown = piece.finish_colour or START_COLOUR
    said = {"has_no_colour": not piece.finish_colour, "finish_colour": shown, "finish_words": piece.finish_words}
    form = FinishForm.from_request(data={**said, "version": piece.version})
    form.shown = shown

    def again() -> str:
        drawing = silhouette(piece.form, piece.finish_colour)
        return render_template("pieces/finish.html", form=form, piece=piece, drawing=drawing)

    def act(session: Session) -> Piece:
        colour, words = form.colour(), form.finish_words.data
        return actions.set_finish(
            session, piece.id, colour=colour, words=words, version=form.version_number, now=clock.now()
        )

    return shown_or_saved(form, act, again=again, to=to_sheet, done="Finish saved.")


@bp.route("/pieces/<tag>/next", methods=["GET", "POST"])
def next_note(tag: str) -> ResponseReturnValue:
    piece = the_piece(tag)
    form = NextForm.from_request(obj=piece)

    def again() -> str:
        return render_template("pieces/next.html", form=form, piece=piece)

    def act(session: Session) -> Piece:
        words = form.next_note.data
        return actions.note_next(session, piece.id, words, version=form.version_number, now=clock.now())

    return shown_or_saved(form, act, again=again, to=to_sheet, done="Noted.")


@bp.route("/pieces/<tag>/dates", methods=["GET", "POST"])
def correct_dates(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        steps = steps_of(session, piece.id)
    form = dates_form(steps).from_request(obj=piece, data={field_of(step): step.on_date for step in steps})

    def again() -> str:
        spells = time_in_stages(steps, frame().today)
        return render_template("pieces/dates.html", form=form, piece=piece, steps=steps, spells=spells)

    def act(session: Session) -> Piece:
        found, days = form.sourced_on.data, form.step_dates(steps)
        return actions.correct_dates(
            session, piece.id, sourced_on=found, step_dates=days, version=form.version_number, now=clock.now()
        )

    return shown_or_saved(form, act, again=again, to=to_sheet, done="Dates put right.")
