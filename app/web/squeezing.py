"""Answers made of text travel squeezed (gzip), so that a phone on a weak line in the garage waits less."""

import gzip

from flask import Flask, Response, request

TEXT = ("text/", "application/json", "application/manifest+json", "application/problem+json", "image/svg+xml")
# Below this the head of the squeezed form eats what it saves.
WORTH_IT = 1024
# The last steps up cost several times the work for a hundredth of the size.
EFFORT = 6


def squeeze_answers(app: Flask) -> None:
    """Squeeze every answer of text that is worth it, for browsers that can take it."""
    app.after_request(_squeeze)


def _squeeze(response: Response) -> Response:
    if not _is_text(response):
        return response
    response.vary.add("Accept-Encoding")
    if not request.accept_encodings["gzip"]:
        return response
    body = response.get_data()
    if len(body) < WORTH_IT:
        return response
    # Without a moment in the head, the same text is always the same bytes.
    response.set_data(gzip.compress(body, EFFORT, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    return response


def _is_text(response: Response) -> bool:
    return (
        (response.content_type or "").startswith(TEXT)
        and not response.is_streamed
        and not response.direct_passthrough
        and "Content-Encoding" not in response.headers
        and "ETag" not in response.headers
    )
