"""Printed tags: choosing them, the PDF, and the address that a tag's code leads to."""

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.errors import RuleError
from app.database.unit_of_work import Session
from app.desk.formats.tags import plan_of, require_readable, write_frame, write_tags
from app.desk.forms.tags import TagsForm, Which
from app.desk.queries.tags import TagChoice, tag_choice, tag_faces
from app.desk.routes.blueprint import bp
from app.desk.rules.tags import Plan, TagFace, Wish
from app.pieces.queries import PieceRow, tag_meant
from app.web.errors import error_page
from app.web.frame import frame, ledger
from app.web.saving import SEE_OTHER
from app.web.takeaway import file_answer

LONGEST_SHOWN = 12


@bp.get("/tags")
def tags() -> ResponseReturnValue:
    form = TagsForm(request.args)
    form.fill_in(frame().units)
    with ledger().reading() as session:
        choice = tag_choice(session, form.tag.data or ())
        plan = _plan(session, form, choice) if choice.pieces else None
    form.tag.choices = [(piece.tag, f"{piece.tag}  {piece.name}") for piece in choice.pieces]
    return render_template("desk/tags.html", form=form, choice=choice, plan=plan)


@bp.get("/tags.pdf")
def tags_pdf() -> ResponseReturnValue:
    form = TagsForm(request.args)
    form.fill_in(frame().units)
    try:
        if "frame" in request.args:
            return file_answer("edges.pdf", "application/pdf", write_frame(form.wish()))
        with ledger().reading() as session:
            faces, wish = _asked(session, form, tag_choice(session, form.tag.data or ()))
        return file_answer("tags.pdf", "application/pdf", write_tags(faces, wish))
    except RuleError:
        # The page says at which field it is wrong.
        return redirect(f"{url_for('desk.tags')}?{request.query_string.decode('utf-8', 'replace')}", SEE_OTHER)


@bp.get("/t/<tag>")
@bp.get("/T/<tag>")
def by_tag(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        known = tag_meant(session, tag)
    if known is None:
        said = tag.upper()[:LONGEST_SHOWN]
        return error_page(404, f"No piece here has the tag {said}. It may be misread, or be another shop's.")
    return redirect(url_for("desk.sheet", tag=known), SEE_OTHER)


def _plan(session: Session, form: TagsForm, choice: TagChoice) -> Plan | None:
    """What printing them comes to; None, and the form says why, where they cannot be printed so."""
    try:
        faces, wish = _asked(session, form, choice)
    except RuleError as refusal:
        form.refuse(refusal)
        return None
    return plan_of(faces, wish)


def _asked(session: Session, form: TagsForm, choice: TagChoice) -> tuple[list[TagFace], Wish]:
    wish, here = form.wish(), frame()
    pieces = _pieces(form, choice)
    faces = tag_faces(session, pieces, units=here.units, zone=here.zone, with_care=wish.with_care, now=clock.now())
    require_readable((face.code for face in faces), wish.on)
    return faces, wish


def _pieces(form: TagsForm, choice: TagChoice) -> list[PieceRow]:
    ticked = {tag.upper() for tag in form.tag.data or ()}
    found = {
        Which.HAND: choice.on_hand,
        Which.FLOOR: choice.listed,
        Which.TICKED: [piece for piece in choice.pieces if piece.tag in ticked],
    }[form.chosen]
    if not found and form.chosen is Which.TICKED:
        raise RuleError("Tick the pieces whose tags you want.", "tag")
    if not found:
        raise RuleError("There is no such piece to print a tag for.", "which")
    return found
