"""Style sheets and scripts, each under the hash of its content so that a browser may keep it for ever."""

import hashlib
from collections.abc import Iterable
from pathlib import Path

from flask import Blueprint, Response, abort, url_for

FOR_EVER = "public, max-age=31536000, immutable"
KINDS = {".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}


class Assets:
    """All rooms' style sheets as one file, and the scripts by name."""

    def __init__(self, style_sheets: Iterable[Path], static: Path) -> None:
        self._bodies = {path.name: path.read_bytes() for path in sorted(static.iterdir()) if path.suffix in KINDS}
        self._bodies["rooms.css"] = b"\n".join(path.read_bytes() for path in style_sheets)
        self._hashes = {name: hashlib.sha256(body).hexdigest()[:12] for name, body in self._bodies.items()}

    @property
    def css(self) -> str:
        """The address of the one style sheet."""
        return self.address("rooms.css")

    def js(self, name: str) -> str:
        """The address of a script."""
        return self.address(name)

    def address(self, name: str) -> str:
        """Where the newest content of `name` is served."""
        return url_for("assets.serve", digest=self._hashes[name], name=name)

    def body(self, digest: str, name: str) -> bytes | None:
        """The content, when `digest` is that of the file as it is now."""
        return self._bodies.get(name) if self._hashes.get(name) == digest else None


def assets_blueprint(assets: Assets) -> Blueprint:
    """The pages that serve the assets."""
    bp = Blueprint("assets", __name__)

    @bp.get("/assets/<digest>/<name>")
    def serve(digest: str, name: str) -> Response:
        body = assets.body(digest, name)
        if body is None:
            abort(404)
        return Response(body, content_type=KINDS[Path(name).suffix], headers={"Cache-Control": FOR_EVER})

    return bp
