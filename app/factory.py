"""Build the application: the only module that mounts every room."""

from pathlib import Path
from types import ModuleType

from flask import Flask, current_app, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFProtect
from werkzeug.routing import IntegerConverter, Map

from app.access import routes as access
from app.access.rules import PHONE_PAIRED_FOR, SIGNED_IN_FOR
from app.basics import clock
from app.basics.dates import local_day
from app.basics.settings import Settings, make_data_dir, secret_key
from app.bench import routes as bench
from app.costs import routes as costs
from app.database.engine import make_engine
from app.database.migrate import upgrade
from app.database.unit_of_work import Ledger
from app.desk import routes as desk
from app.floor import routes as floor
from app.photos import routes as photos
from app.photos.rules import MOST_BYTES
from app.pieces import routes as pieces
from app.pocket import routes as pocket
from app.pocket.queries import captures_received
from app.pocket.rules import LARGEST_BODY, LARGEST_RESCUE
from app.recipes import routes as recipes
from app.reports import routes as reports
from app.safekeeping import routes as safekeeping
from app.sales import routes as sales
from app.shelf import routes as shelf
from app.shop.queries import last_closed_day, shop_facts
from app.timelog import routes as timelog
from app.trips import routes as trips
from app.web.assets import Assets, assets_blueprint
from app.web.cookies import CookieByScheme
from app.web.errors import add_error_pages
from app.web.filters import add_filters
from app.web.frame import Frame, ledger
from app.web.page import add_page_context
from app.web.problems import problem, wants_problem
from app.web.saving import answer_repeat_at_once
from app.web.security import LOOPBACK_NAMES, guard
from app.web.squeezing import squeeze_answers

ROOMS: tuple[ModuleType, ...] = (
    access,
    pieces,
    photos,
    costs,
    timelog,
    trips,
    shelf,
    pocket,
    recipes,
    bench,
    floor,
    sales,
    reports,
    desk,
    safekeeping,
)

HIGHEST_ROW = 2**63 - 1
SMALL_UPLOAD = 2 * 1024 * 1024
LARGE_UPLOAD = 200 * 1024 * 1024
TAKE_PHOTOS = frozenset(
    {
        *("desk.find", "desk.pile", "desk.receipt", "photos.add", "photos.add_one"),
        *("costs.add_to_piece", "costs.add_to_shop", "shelf.buy", "trips.add"),
    }
)
# A capture has a limit of its own and one photo at a time; a rescue file may carry all that a phone can hold.
OWN_LIMITS = {
    "pocket.receive": LARGEST_BODY,
    "pocket.receive_photo": MOST_BYTES,
    "pocket.waiting": LARGEST_BODY,
    "pocket.rescue": LARGEST_RESCUE,
}
# What phones send carries no token: their page is the same for everybody. Where it comes from is checked as ever.
WITHOUT_TOKEN = ("pocket.receive", "pocket.receive_photo", "pocket.waiting")
OPEN_BEFORE_SET_UP = access.OPEN_ENDPOINTS | {"desk.start", "access.sign_out"}


class RowNumber(IntegerConverter):
    """A row's number in an address; under one that no ledger can hold there is nothing."""

    def __init__(self, known: Map) -> None:
        super().__init__(known, max=HIGHEST_ROW)


def create_app(settings: Settings) -> Flask:
    """An application on the ledger that `settings` name, upgraded to the newest layout."""
    make_data_dir(settings.data_dir)
    upgrade(settings.url, ledger_file=settings.ledger_file, copies_dir=settings.kept_copies_dir, now=clock.now())
    app = Flask("app", root_path=str(Path(__file__).parent), static_folder=None, template_folder="web/templates")
    app.config.update(
        SECRET_KEY=secret_key(settings.data_dir),
        SESSION_COOKIE_NAME="tackcloth",
        SESSION_COOKIE_SAMESITE="Lax",
        # The cookie lives as long as a sign-in may: it is written once, not anew with every picture and style sheet.
        SESSION_REFRESH_EACH_REQUEST=False,
        PERMANENT_SESSION_LIFETIME=max(SIGNED_IN_FOR, PHONE_PAIRED_FOR),
        MAX_CONTENT_LENGTH=SMALL_UPLOAD,
        MAX_FORM_MEMORY_SIZE=SMALL_UPLOAD,
        TRUSTED_HOSTS=[*LOOPBACK_NAMES, *settings.trusted_hosts],
        # A form left open overnight must still save; the token stays bound to the signed cookie.
        WTF_CSRF_TIME_LIMIT=None,
        WTF_CSRF_SSL_STRICT=False,
    )
    app.session_interface = CookieByScheme()
    app.url_map.converters["int"] = RowNumber
    app.extensions["tackcloth_settings"] = settings
    app.extensions["tackcloth_ledger"] = Ledger(make_engine(settings.url))
    _mount(app)
    return app


def _mount(app: Flask) -> None:
    # The order matters: CSRFProtect is the first to read what was sent, and reads nothing from a strange address,
    # from another site's page or from a browser that is not signed in.
    app.before_request(access.refuse_strange_addresses)
    guard(app)
    app.before_request(_make_frame)
    app.before_request(access.require_sign_in)
    app.before_request(_allow_large_uploads)
    tokens = CSRFProtect(app)
    app.before_request(_lead_to_first_start)
    app.before_request(answer_repeat_at_once)
    add_filters(app)
    add_error_pages(app)
    squeeze_answers(app)
    add_page_context(app, find_timer=timelog.timer_strip)
    access.count_captures_by(app, captures_received)
    for room in ROOMS:
        app.register_blueprint(room.bp)
    for endpoint in WITHOUT_TOKEN:
        tokens.exempt(app.view_functions[endpoint])
    assets = Assets(_style_sheets(), Path(__file__).parent / "web" / "static")
    app.register_blueprint(assets_blueprint(assets))
    app.extensions["tackcloth_assets"] = assets


def _style_sheets() -> list[Path]:
    here = Path(__file__).parent
    rooms = sorted(path for path in here.glob("*/*.css") if path.parent.name != "web")
    return [here / "web" / "web.css", *rooms]


def _allow_large_uploads() -> None:
    """Forms that take photos may be large; all others stay small, and some have a limit of their own."""
    request.max_content_length = OWN_LIMITS.get(request.endpoint or "", request.max_content_length)
    if request.endpoint in TAKE_PHOTOS:
        request.max_content_length = LARGE_UPLOAD


def _make_frame() -> None:
    settings: Settings = request_settings()
    now = clock.now()
    g.frame = Frame(today=now.date(), locale=settings.locale, is_demo=settings.is_demo)
    with ledger().reading() as session:
        facts = shop_facts(session)
        closed_through = last_closed_day(session)
    if facts is not None:
        g.frame = Frame(
            today=local_day(now, facts.time_zone),
            currency=facts.currency,
            locale=settings.locale,
            units=facts.units,
            zone=facts.time_zone,
            shop_name=facts.name,
            started_on=facts.started_on,
            sits_too_long_days=facts.sits_too_long_days,
            closed_through=closed_through,
            is_set_up=True,
            is_demo=settings.is_demo,
        )


def request_settings() -> Settings:
    """The settings of the application answering this request."""
    found: Settings = current_app.extensions["tackcloth_settings"]
    return found


def _lead_to_first_start() -> ResponseReturnValue | None:
    if g.frame.is_set_up or request.endpoint in OPEN_BEFORE_SET_UP:
        return None
    if wants_problem():
        return problem(503, "Not set up yet", "Set up the shop on its first page, then send it again.")
    return redirect(url_for("desk.start"), 303)
