"""Log one find."""

from flask import current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import FileStorage

from app.basics import clock
from app.basics.errors import RuleError
from app.database.unit_of_work import LedgerTrouble
from app.desk import actions
from app.desk.forms.find import FOLDED, FindForm
from app.desk.routes.blueprint import bp
from app.desk.routes.choices import source_choices
from app.photos.rules import StoredPhoto
from app.photos.store import keep
from app.pieces.queries import sources
from app.web.frame import ledger
from app.web.saving import save


@bp.route("/find", methods=["GET", "POST"])
def find() -> ResponseReturnValue:
    form = _form()

    def again() -> str:
        return render_template("desk/find.html", form=form, is_open=form.has_errors_in(*FOLDED))

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: actions.log_find_with_photos(
            session, form.new_find(), form.kept_photos, capture_id=form.submit_token.data or "", now=clock.now()
        ),
        to=lambda piece: url_for("desk.sheet", tag=piece.tag, new=1),
        again=again,
        done="Find saved.",
    )


def _form() -> FindForm:
    with ledger().reading() as session:
        known = sources(session)
    form = FindForm.from_request().offer("source", source_choices(known))
    form.free_sources = {str(source.id) for source in known if source.is_free}
    form.keep_photo = _keep_photo
    return form


def _keep_photo(upload: FileStorage) -> StoredPhoto:
    try:
        return keep(current_app.extensions["tackcloth_settings"].photo_dir, upload.stream, upload.filename or "")
    except LedgerTrouble as trouble:
        # Said at the photo field: what was typed must not be lost because the disk is full.
        raise RuleError(trouble.message) from trouble
