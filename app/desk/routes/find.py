"""Log one find."""

from functools import partial

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.dates import local_day
from app.database.unit_of_work import LedgerTrouble
from app.desk import actions
from app.desk.forms.find import FOLDED, FindForm
from app.desk.forms.pile import numbers_told, told_numbers
from app.desk.routes.blueprint import bp
from app.desk.routes.choices import source_choices
from app.photos.actions import lay_on_pile
from app.photos.queries import PhotoRow, pile_photos
from app.photos.store import keep_sent
from app.pieces.queries import sources
from app.web.frame import frame, ledger, photo_dir
from app.web.saving import save


@bp.route("/find", methods=["GET", "POST"])
def find() -> ResponseReturnValue:
    form = _form()
    if request.method == "GET":
        return _page(form)
    return save(
        form,
        lambda session: actions.log_find_with_photos(
            session,
            form.new_find(),
            form.kept_photos,
            piled=form.piled_numbers,
            capture_id=form.submit_token.data or "",
            now=clock.now(),
        ),
        to=lambda piece: url_for("desk.sheet", tag=piece.tag, new=1),
        again=lambda: _page(form),
        done="Find saved.",
    )


def _form() -> FindForm:
    asked = numbers_told(request.args.get("photos", ""))
    with ledger().reading() as session:
        known = sources(session)
        piled = pile_photos(session, asked) if asked else []
    form = FindForm.from_request(**_told_by(piled)).offer("source", source_choices(known))
    form.free_sources = {str(source.id) for source in known if source.is_free}
    form.keep_photo = partial(keep_sent, photo_dir())
    return form


def _told_by(piled: list[PhotoRow]) -> dict[str, object]:
    """What the photos say of the find: that they go along, and the day of the first one."""
    if not piled:
        return {}
    taken_on = local_day(piled[0].instant, frame().zone)
    return {"piled": told_numbers(photo.id for photo in piled), "bought_on": min(taken_on, frame().today)}


def _page(form: FindForm) -> str:
    """The page with the photos that go along; those just sent lie on the pile meanwhile, so that none is lost."""
    if form.kept_photos:
        _lay_down(form)
    wanted = form.piled_numbers if request.method == "POST" else numbers_told(request.args.get("photos", ""))
    piled: list[PhotoRow] = []
    if wanted:
        with ledger().reading() as session:
            piled = pile_photos(session, wanted)
    left_out = len(wanted) - len(piled)
    form.carry([photo.id for photo in piled])
    return render_template(
        "desk/find.html", form=form, is_open=form.has_errors_in(*FOLDED), piled=piled, left_out=left_out
    )


def _lay_down(form: FindForm) -> None:
    try:
        with ledger().writing() as session:
            laid = lay_on_pile(session, form.kept_photos, now=clock.now())
    except LedgerTrouble as trouble:
        form.form_errors.append(f"The photos must be chosen again: {trouble.message}")
        return
    form.carry([*form.piled_numbers, *(photo.id for photo in laid)])
