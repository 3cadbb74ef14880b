"""The list of all pieces, each as its tag."""

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.desk.routes.blueprint import bp
from app.photos.queries import PhotoRow, front_photos
from app.photos.rules import Size, alt_words
from app.pieces.forms import ChoiceForm
from app.pieces.queries import PieceRow, count_pieces, pieces_chosen, sources, tag_meant
from app.web.filters import short_day
from app.web.frame import ledger
from app.web.paging import PAGE_SIZE, href_keeping, page_of
from app.web.silhouettes import silhouette
from app.web.tie_tag import TagPhoto, TieTag


@bp.get("/pieces")
def pieces() -> ResponseReturnValue:
    form = ChoiceForm(request.args)
    choice = form.choice()
    with ledger().reading() as session:
        tag = tag_meant(session, choice.words)
        if tag is not None:
            return redirect(url_for("desk.sheet", tag=tag))
        places = sources(session, include_put_away=True)
        page = page_of(count_pieces(session, choice), "desk.pieces")
        rows = pieces_chosen(session, choice, limit=PAGE_SIZE, offset=page.offset)
        photos = front_photos(session, [row.id for row in rows])
    form.source.choices = [("", "Anywhere"), *((str(place.id), place.name) for place in places)]
    return render_template(
        "desk/pieces.html",
        form=form,
        choice=choice,
        page=page,
        tags=[tag_of(row, photos.get(row.id)) for row in rows],
        csv_href=href_keeping("pieces.pieces_csv"),
    )


def tag_of(piece: PieceRow, photo: PhotoRow | None) -> TieTag:
    """A piece as a tag in the list."""
    since = f"since {short_day(piece.stage_since)}"
    facts = [since, piece.source_name, f"set of {piece.count}" if piece.count > 1 else ""]
    return TieTag(
        number=piece.tag,
        title=piece.name,
        stage_word=piece.stands_as,
        href=url_for("desk.sheet", tag=piece.tag),
        photo=None if photo is None else tag_photo(photo, piece.name),
        drawing=silhouette(piece.form, piece.finish_colour),
        extra_line=", ".join(fact for fact in facts if fact),
    )


def tag_photo(photo: PhotoRow, name: str) -> TagPhoto:
    """A piece's front picture as a small tag shows it."""
    box = photo.box(Size.SMALL)
    source = url_for("photos.show", photo_id=photo.id, size=Size.SMALL.value)
    return TagPhoto(src=source, width=box.width, height=box.height, alt=alt_words(name, 1, 1))
