"""What a locked shop shows to whoever is not signed in: the open pages that are written down, and nothing else."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from werkzeug.routing import IntegerConverter, Rule

from app.access.routes import OPEN_ENDPOINTS
from app.database.unit_of_work import Ledger
from app.web.problems import FOR_PROGRAMS, FOR_PROGRAMS_BELOW
from tests.access.visitors import csrf_of
from tests.examining_client import ORIGIN, ExaminingClient

GUIDE = Path(__file__).parents[2] / "docs" / "guide" / "phone.md"
OWN = {"Origin": ORIGIN}
LET_THROUGH = {200, 404, 422}


def routes_of(app: Flask) -> Iterator[tuple[str, str, set[str]]]:
    """Every page: its endpoint, an address of it, and how it may be asked for."""
    for rule in app.url_map.iter_rules():
        yield rule.endpoint, address_of(rule), rule.methods or set()


def address_of(rule: Rule) -> str:
    values: dict[str, Any] = {
        name: 1 if isinstance(converter, IntegerConverter) else "x" for name, converter in rule._converters.items()
    }
    built = rule.build({**(rule.defaults or {}), **values})
    assert built is not None
    return built[1]


def is_for_programs(path: str) -> bool:
    return path in FOR_PROGRAMS or path.startswith(f"{FOR_PROGRAMS_BELOW}/")


def test_every_page_but_the_open_ones_sends_whoever_is_not_signed_in_away(app: Flask, phone: ExaminingClient) -> None:
    asked = set()
    for endpoint, path, methods in routes_of(app):
        if endpoint in OPEN_ENDPOINTS:
            continue
        token = csrf_of(phone)
        for method in methods:
            answer = phone.raw.open(path, method=method, data={"csrf_token": token}, headers=OWN)
            if is_for_programs(path):
                assert (answer.status_code, answer.content_type) == (401, "application/problem+json"), endpoint
            else:
                assert answer.status_code == 303, (endpoint, method)
                assert answer.location.startswith("/sign-in"), (endpoint, method)
        asked.add(endpoint)
    assert len(asked) >= 100


@pytest.mark.parametrize("method", ["TRACE", "PUT", "DELETE", "PATCH", "OPTIONS", "PROPFIND", "BREW"])
def test_no_other_way_of_asking_gets_further(phone: ExaminingClient, inside: ExaminingClient, method: str) -> None:
    assert phone.raw.open("/books", method=method, headers=OWN).status_code == 303
    answer = inside.raw.open("/books", method=method, headers=OWN)
    assert answer.status_code == (200 if method == "OPTIONS" else 405)
    assert answer.text == "" or "That page cannot be used this way" in answer.text
    foreign = inside.raw.open("/books", method=method, headers={"Origin": "http://evil.example"})
    assert foreign.status_code == (200 if method == "OPTIONS" else 403)
    assert "Access-Control-Allow-Origin" not in foreign.headers


def test_the_open_pages_open(app: Flask, phone: ExaminingClient) -> None:
    for endpoint, path, methods in routes_of(app):
        if endpoint in OPEN_ENDPOINTS and "GET" in methods:
            answer = phone.raw.get(path)
            assert answer.status_code in LET_THROUGH, endpoint
            assert "Bent Nail" not in answer.text, endpoint


def test_the_guide_lists_the_open_pages_and_no_others(app: Flask) -> None:
    text = GUIDE.read_text(encoding="utf-8").split("## What opens without signing in")[1].split("\n## ")[0]
    written = set(re.findall(r"^\| `(/[^`]*)`", text, re.MULTILINE))
    # Pages of the phone's own side belong to the list as soon as they are mounted.
    known = {re.sub(r"<(?:\w+:)?(\w+)>", r"<\1>", rule.rule): rule.endpoint for rule in app.url_map.iter_rules()}
    is_open = {rule for rule, endpoint in known.items() if endpoint in OPEN_ENDPOINTS}
    assert is_open <= written
    assert {known[rule] for rule in written if rule in known} <= OPEN_ENDPOINTS
    assert written - set(known) <= {"/manifest.webmanifest", "/worker.js"}


def test_a_signed_out_post_to_any_page_changes_nothing(app: Flask, phone: ExaminingClient, locked: Ledger) -> None:
    before = dump(locked)
    token = csrf_of(phone)
    for endpoint, path, methods in routes_of(app):
        if "POST" in methods and endpoint not in OPEN_ENDPOINTS:
            answer = phone.raw.post(path, data={"csrf_token": token}, headers=OWN)
            assert answer.location == "/sign-in", endpoint
    assert dump(locked) == before


def dump(ledger: Ledger) -> list[str]:
    connection = ledger.engine.raw_connection()
    try:
        return list(connection.driver_connection.iterdump())  # type: ignore[union-attr]
    finally:
        connection.close()


def test_looking_at_an_open_page_changes_nothing(app: Flask, phone: ExaminingClient, locked: Ledger) -> None:
    before = dump(locked)
    for endpoint, path, methods in routes_of(app):
        if endpoint in OPEN_ENDPOINTS and "GET" in methods:
            phone.raw.get(path)
            phone.raw.head(path)
    assert dump(locked) == before
