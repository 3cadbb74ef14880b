"""Headers on every answer, and who may post: this shop's own pages alone."""

from urllib.parse import urlsplit

from flask import Flask, Response, abort, request

LOOPBACK_NAMES = ("localhost", "127.0.0.1")
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self';"
        " manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none';"
        " object-src 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), usb=()",
}


def guard(app: Flask) -> None:
    """Check where every post comes from and put the headers on every answer."""
    app.before_request(refuse_foreign_posts)
    app.after_request(_add_headers)


def refuse_foreign_posts() -> None:
    """Refuse an unsafe request that does not come from a page of this very address.

    A browser on the plain home network sends no Fetch Metadata, so Origin, and failing that Referer, decides.
    """
    if request.method in SAFE_METHODS:
        return
    said = request.headers.get("Origin") or request.headers.get("Referer")
    if not said or said == "null":
        abort(403)
    origin = urlsplit(said)
    if (origin.scheme, origin.netloc) != (request.scheme, request.host):
        abort(403)


def _add_headers(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if "Cache-Control" not in response.headers:
        response.headers["Cache-Control"] = "no-cache, private"
    return response
