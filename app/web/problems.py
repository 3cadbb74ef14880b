"""Answers for programs: what went wrong as a problem by RFC 9457, where a page would be of no use."""

from collections.abc import Iterable
from http import HTTPStatus
from typing import Any, Final

from flask import Response, json, request

PROBLEM_TYPE: Final = "application/problem+json"
TRY_AGAIN_AFTER: Final = 5
"""After how many seconds a busy ledger is asked again."""

FOR_PROGRAMS: Final = frozenset({"/pocket/home", "/pocket/waiting", "/settings/safekeeping/latest"})
FOR_PROGRAMS_BELOW: Final = "/captures"


def wants_problem() -> bool:
    """Whether the request is one that a program makes, for which a page or a way to sign in is no answer."""
    path = request.path
    return path in FOR_PROGRAMS or path == FOR_PROGRAMS_BELOW or path.startswith(f"{FOR_PROGRAMS_BELOW}/")


def problem(status: int, title: str, detail: str, errors: Iterable[tuple[str, str]] = (), **more: Any) -> Response:
    """A problem in one answer; `errors` are pairs of a field and what is wrong there, `more` further members."""
    body: dict[str, Any] = {"type": "about:blank", "title": title, "status": status, "detail": detail}
    at_fields = [{"field": field, "detail": words} for field, words in errors]
    if at_fields:
        body["errors"] = at_fields
    answer = Response(json.dumps({**body, **more}), status, content_type=PROBLEM_TYPE)
    answer.headers["Cache-Control"] = "no-store"
    if status == HTTPStatus.SERVICE_UNAVAILABLE:
        answer.headers["Retry-After"] = str(TRY_AGAIN_AFTER)
    return answer
