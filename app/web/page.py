"""What the page shell shows around every page: places, clock strip, notice."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from flask import Flask, current_app, g, get_flashed_messages, request, url_for

from app.web.frame import Frame
from app.web.silhouettes import silhouette

# Label, icon, endpoint, and the first words of the paths that belong to the place.
PLACES = (
    ("Today", "today", "desk.today", ()),
    ("Bench", "bench", "bench.bench", ("/bench",)),
    ("Floor", "floor", "floor.floor", ("/floor",)),
    ("Books", "books", "reports.books", ("/books",)),
)
MORE_PLACES = (
    ("Pieces", "desk.pieces", ("/pieces", "/hauls", "/tags")),
    ("Photos to sort", "desk.pile", ("/photos/sort", "/receipts")),
    ("Recipes", "recipes.recipes", ("/recipes",)),
    ("Shelf", "shelf.shelf", ("/shelf",)),
    ("Time", "timelog.log", ("/time",)),
    ("Shop costs", "costs.shop_costs", ("/costs",)),
    ("Trips", "trips.log", ("/trips",)),
    ("In your pocket", "pocket.page", ("/pocket",)),
    ("Settings", "desk.settings", ("/settings",)),
)


@dataclass(frozen=True)
class PlaceLink:
    """One entry of the navigation."""

    label: str
    href: str
    icon: str
    is_here: bool


@dataclass(frozen=True)
class TimerStrip:
    """The running clock as the strip at the head of each page shows it."""

    label: str
    started_at_iso: str
    minutes: int
    href: str


@dataclass(frozen=True)
class ShopOnPage:
    """What templates say of the shop."""

    name: str
    currency: str
    currency_sign: str
    units: str


def add_page_context(app: Flask, *, find_timer: Callable[[], TimerStrip | None]) -> None:
    """Give every template the shell's facts; they are worked out once a request and only when a page is rendered."""

    def shell() -> dict[str, Any]:
        if "page_context" not in g:
            g.page_context = _shell(find_timer)
        context: dict[str, Any] = g.page_context
        return context

    app.context_processor(shell)
    app.add_template_global(silhouette, "silhouette_of")


def _shell(find_timer: Callable[[], TimerStrip | None]) -> dict[str, Any]:
    frame: Frame | None = g.get("frame")
    is_open = frame is not None and frame.is_set_up and not g.get("is_shut_out", False)
    shop = None
    if frame is not None and is_open:
        shop = ShopOnPage(frame.shop_name, frame.currency, frame.sign, frame.units.value)
    return {
        "shop": shop,
        "frame": frame,
        "assets": current_app.extensions["tackcloth_assets"],
        "nav": _places() if is_open else [],
        "more_nav": _more_places() if is_open else [],
        "find_href": url_for("desk.find") if is_open else None,
        # A page about trouble must not ask the ledger: that may be where the trouble is.
        "running_timer": find_timer() if is_open and not g.get("is_in_trouble", False) else None,
        "notice": " ".join(str(line) for line in get_flashed_messages()),
        "signed_in": bool(g.get("browser_id")),
    }


def _places() -> list[PlaceLink]:
    return [
        PlaceLink(label, url_for(endpoint), icon, _is_here(url_for(endpoint), starts))
        for label, icon, endpoint, starts in PLACES
    ]


def _more_places() -> list[PlaceLink]:
    return [
        PlaceLink(label, url_for(endpoint), "", _is_here(url_for(endpoint), starts))
        for label, endpoint, starts in MORE_PLACES
    ]


def _is_here(href: str, starts: tuple[str, ...]) -> bool:
    return request.path == href or any(request.path.startswith(start) for start in starts)
