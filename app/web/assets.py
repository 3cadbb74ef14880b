"""Style sheets, scripts and icons, each under the hash of its content so that a browser may keep it for ever."""

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path

from flask import Blueprint, Response, abort, url_for

FOR_EVER = "public, max-age=31536000, immutable"
KINDS = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
}
_IMPORT = re.compile(r'(?<=(?:from|port) ")\./([\w-]+\.js)(?=")')


class Assets:
    """All rooms' style sheets as one file, and the scripts and icons by name."""

    def __init__(self, style_sheets: Iterable[Path], static: Path) -> None:
        self._bodies: dict[str, bytes] = {}
        self._hashes: dict[str, str] = {}
        self._add("rooms.css", b"\n".join(path.read_bytes() for path in style_sheets))
        for path in sorted(static.iterdir()):
            if path.suffix in KINDS:
                self._load(path)

    def _load(self, path: Path) -> str:
        """Take a file in and give its hash; what a script imports is named by the hash of that, so goes first."""
        if path.name not in self._hashes:
            body = path.read_bytes()
            if path.suffix == ".js":
                body = _IMPORT.sub(lambda found: self._address_in(path, found[1]), body.decode()).encode()
            self._add(path.name, body)
        return self._hashes[path.name]

    def _address_in(self, importer: Path, name: str) -> str:
        return f"../{self._load(importer.with_name(name))}/{name}"

    def _add(self, name: str, body: bytes) -> None:
        self._bodies[name] = body
        self._hashes[name] = hashlib.sha256(body).hexdigest()[:12]

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
