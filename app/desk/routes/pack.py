"""The pack a listing is made from, and the note on how to look after a piece."""

from zoneinfo import ZoneInfo

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.basics import clock
from app.basics.money import money_plain
from app.database.unit_of_work import Session
from app.desk.formats.pack import image_names, write_pack
from app.desk.forms.wording import CareWordsForm, ListingWordsForm
from app.desk.queries.care import care_sheets
from app.desk.queries.pack import PackSheet, pack_sheet
from app.desk.routes.blueprint import bp
from app.desk.rules.pack import Offer, PackFacts, likely_photos, listing_words, product_data
from app.floor.actions import word_care, word_listing
from app.floor.queries import ListingSheet
from app.photos.queries import PhotoRow
from app.photos.store import as_jpeg
from app.pieces.queries import piece_by_tag
from app.web.filters import money
from app.web.frame import frame, ledger, photo_dir
from app.web.saving import save
from app.web.takeaway import file_answer


@bp.route("/pieces/<tag>/pack", methods=["GET", "POST"])
def pack(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = pack_sheet(session, tag)
    worked_out = listing_words(_known(sheet))
    words = sheet.wording.listing or worked_out
    offered = worked_out if "anew" in request.args else words
    form = ListingWordsForm.from_request(words=offered, version=str(sheet.wording.version))

    def again() -> str:
        shown = {"words": words, "is_own": bool(sheet.wording.listing), "is_anew": offered != words}
        return render_template("desk/pack.html", form=form, sheet=sheet, likely=likely_photos(sheet.photos), **shown)

    if request.method == "GET":
        return again()
    return save(
        form,
        lambda session: _word_listing(session, sheet, form, worked_out),
        to=lambda _wording: url_for("desk.pack", tag=sheet.piece.tag),
        again=again,
        done="The words are kept.",
    )


@bp.get("/pieces/<tag>/pack.zip")
def pack_zip(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        sheet = pack_sheet(session, tag)
    known = _known(sheet)
    words = sheet.wording.listing or listing_words(known)
    chosen, folder = _chosen(sheet), photo_dir()
    names = image_names(len(chosen))
    data = product_data(known, words, names, _offer(sheet))
    pictures = {name: as_jpeg(folder, photo.sha256) for name, photo in zip(names, chosen, strict=True)}
    written_at = clock.now().astimezone(ZoneInfo(frame().zone))
    return file_answer(
        f"listing-{sheet.piece.tag}.zip", "application/zip", write_pack(words, data, pictures, written_at=written_at)
    )


@bp.route("/pieces/<tag>/care", methods=["GET", "POST"])
def care(tag: str) -> ResponseReturnValue:
    with ledger().reading() as session:
        piece = piece_by_tag(session, tag)
        sheet = care_sheets(session, [piece], clock.now())[piece.id]
    form = CareWordsForm.from_request(words=sheet.words, version=str(sheet.wording.version))

    def again() -> str:
        gentle = sheet.gentle_words(frame().zone)
        return render_template("desk/care.html", form=form, piece=piece, sheet=sheet, gentle=gentle)

    if request.method == "GET":
        return again()
    words, version = _unless_same(form.words.data, sheet.note.words), form.version_number
    return save(
        form,
        lambda session: word_care(session, piece.id, words, version=version, now=clock.now()),
        to=lambda _wording: url_for("desk.care", tag=piece.tag),
        again=again,
        done="The note on care is kept.",
    )


def _known(sheet: PackSheet) -> PackFacts:
    offered = _offered(sheet)
    return sheet.known(f"Price: {money(offered.asking_cents)}" if offered else "")


def _offered(sheet: PackSheet) -> ListingSheet | None:
    """The spell on the floor it is offered in; none for a piece that by the owner's own words must not be sold."""
    return None if sheet.harms else sheet.listing


def _offer(sheet: PackSheet) -> Offer | None:
    offered, here = _offered(sheet), frame()
    if offered is None:
        return None
    is_held = offered.hold is not None and not offered.hold.has_run_out(here.today)
    return Offer(money_plain(offered.asking_cents, here.places), here.currency, is_held)


def _chosen(sheet: PackSheet) -> list[PhotoRow]:
    """The photos that were ticked, in the order of the pack; the likely ones where nobody was asked."""
    if "chosen" not in request.args:
        return likely_photos(sheet.photos)
    ticked = set(request.args.getlist("photo"))
    return [photo for photo in sheet.photos if str(photo.id) in ticked]


def _word_listing(session: Session, sheet: PackSheet, form: ListingWordsForm, worked_out: str) -> object:
    words = _unless_same(form.words.data, worked_out)
    return word_listing(session, sheet.piece.id, words, version=form.version_number, now=clock.now())


def _unless_same(words: str, worked_out: str) -> str:
    """The owner's own words; none where they are those worked out, which then go on following the facts."""
    return "" if words == worked_out else words
