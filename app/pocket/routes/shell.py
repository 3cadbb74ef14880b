"""What a phone keeps to work without signal: the page, its spare page, the worker and the manifest.

The pages are the same bytes for everybody, so that a phone may keep them: nothing of the shop, of a sign-in or of a
form token stands in them.
"""

import hashlib
import json

from flask import Response, current_app, render_template, url_for
from flask.typing import ResponseReturnValue

from app.costs.rules import COST_WORDS, PIECE_KINDS, SHOP_KINDS
from app.pieces.rules import FORM_WORDS
from app.pocket.routes.blueprint import bp
from app.timelog.rules import ACTIVITY_WORDS
from app.web.assets import Assets

SCRIPTS = (
    "pocket.js",
    "pocket-form.js",
    "pocket-send.js",
    "pocket-store.js",
    "pocket-words.js",
    "pocket-worker.js",
    "pocket-spare.js",
)
ICONS = (
    ("icon-192.png", "192x192", "any"),
    ("icon-512.png", "512x512", "any"),
    ("icon-512-whole.png", "512x512", "maskable"),
)
PAPER = "#f3eadb"


@bp.get("/pocket")
def page() -> str:
    return _page()


@bp.get("/pocket/spare")
def spare() -> str:
    return render_template("pocket/spare.html")


@bp.get("/worker.js")
def worker() -> ResponseReturnValue:
    parts = [url_for("pocket.spare"), *_asset_addresses()]
    pages = _page() + render_template("pocket/spare.html")
    version = hashlib.sha256("\n".join([*parts, pages]).encode()).hexdigest()[:12]
    home = url_for("pocket.page")
    script = render_template("pocket/worker.js", version=version, home=home, parts=parts)
    headers = {"Cache-Control": "no-cache"}
    return Response(script, content_type="text/javascript; charset=utf-8", headers=headers)


@bp.get("/manifest.webmanifest")
def manifest() -> ResponseReturnValue:
    told = {
        "id": "/pocket",
        "name": "Tackcloth, the shop's ledger",
        "short_name": "Tackcloth",
        "start_url": url_for("pocket.page"),
        "scope": "/",
        "display": "standalone",
        "theme_color": PAPER,
        "background_color": PAPER,
        "icons": [
            {"src": _assets().address(name), "sizes": sizes, "type": "image/png", "purpose": purpose}
            for name, sizes, purpose in ICONS
        ],
    }
    return Response(json.dumps(told), content_type="application/manifest+json", headers={"Cache-Control": "no-cache"})


def _page() -> str:
    return render_template(
        "pocket/page.html",
        forms=FORM_WORDS,
        activities=ACTIVITY_WORDS,
        cost_words=COST_WORDS,
        piece_kinds=PIECE_KINDS,
        shop_kinds=SHOP_KINDS,
    )


def _asset_addresses() -> list[str]:
    named = ("rooms.css", *SCRIPTS, "tackcloth.svg", *(name for name, _, _ in ICONS))
    return [_assets().address(name) for name in named]


def _assets() -> Assets:
    found: Assets = current_app.extensions["tackcloth_assets"]
    return found
