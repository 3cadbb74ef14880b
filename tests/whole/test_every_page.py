"""Every page opens: on an empty shop, on the demo shop, and never writes because it was looked at."""

import hashlib
from datetime import datetime
from pathlib import Path

import pytest
from flask import Flask

from app.access.actions import sign_in
from app.database.unit_of_work import Ledger
from app.demo.actions import load_demo
from app.web.security import HEADERS
from tests.builders.closing import a_corrected_purchase
from tests.builders.recipes import a_label, a_recipe
from tests.builders.shelf import a_count, a_stocked_material, a_use
from tests.every_page import examples
from tests.examining_client import ORIGIN, ExaminingClient


@pytest.fixture
def demo(app: Flask, ledger: Ledger, now: datetime, tmp_path: Path) -> Flask:
    with ledger.writing() as session:
        load_demo(session, tmp_path / "photos", now=now)
        paint = a_stocked_material(session, "Paint of the test")
        a_use(session, paint)
        a_count(session, paint, 500_000)
        a_corrected_purchase(session, now=now)
        a_label(session, paint.id)
        a_recipe(session)
        sign_in(session, name="garage phone", is_phone=True, now=now)
    return app


def test_every_page_opens_on_the_demo_shop_and_changes_nothing(demo: Flask, ledger: Ledger, data_dir: Path) -> None:
    client = ExaminingClient(demo)
    with ledger.reading() as session:
        pages = examples(session).paths(demo)
    before = digest(data_dir)
    never_shown = []
    for endpoint, paths in pages.items():
        statuses = [fetch(client, path) for path in paths]
        if 200 not in statuses:
            never_shown.append((endpoint, paths, statuses))
    allowed = {"access.sign_in", "desk.by_tag", "desk.start", "timelog.switch", "timelog.ran_long"}
    assert [one for one in never_shown if one[0] not in allowed] == []
    assert digest(data_dir) == before


def test_every_page_without_arguments_opens_on_an_empty_shop(client: ExaminingClient, app: Flask) -> None:
    with app.extensions["tackcloth_ledger"].reading() as session:
        pages = examples(session).paths(app)
    for endpoint, paths in pages.items():
        for path in paths:
            assert fetch(client, path) in {200, 303, 404, 409}, (endpoint, path)


def test_a_shop_that_was_never_started_leads_to_the_first_start(bare_client: ExaminingClient) -> None:
    response = bare_client.get("/floor", status=303)
    assert response.headers["Location"].endswith("/start")
    bare_client.get("/start")


@pytest.mark.parametrize("path", ["/nowhere", "/pieces/0O1", "/sales/999999", "/books/months/2026-13", "/pieces/%FF"])
def test_an_unknown_address_says_so(client: ExaminingClient, path: str) -> None:
    assert fetch(client, path) in {404, 400}


def test_a_foreign_host_name_is_refused_everywhere(client: ExaminingClient) -> None:
    for path in ("/", "/floor", "/assets/x/rooms.css", "/nowhere"):
        assert client.raw.get(path, headers={"Host": "evil.example"}).status_code == 400


def test_a_post_from_elsewhere_is_refused(client: ExaminingClient) -> None:
    for origin in ("https://evil.example", "http://localhost:9", "null"):
        assert client.raw.post("/find", headers={"Origin": origin}).status_code == 403


def test_a_post_without_the_token_is_refused(client: ExaminingClient) -> None:
    response = client.post("/find", {"form": "chest"})
    assert response.status_code == 400
    assert "Nothing was saved" in response.text


def test_every_answer_carries_the_headers(client: ExaminingClient, app: Flask) -> None:
    app.add_url_rule("/breaks", view_func=lambda: str(1 // 0))
    sheet = client.raw.get("/").text.split('rel="stylesheet" href="')[1].split('"')[0]
    own = {"Origin": ORIGIN}
    too_much = {"data": b"x" * 3_000_000, "content_type": "application/x-www-form-urlencoded", "headers": own}
    answers = {
        200: [client.raw.get(path) for path in ("/", "/pieces.csv", sheet)],
        303: [client.raw.get("/time/switch")],
        400: [client.raw.get("/", headers={"Host": "evil.example"}), client.raw.post("/find", headers=own)],
        403: [client.raw.post("/find")],
        404: [client.raw.get("/nowhere"), client.raw.get("/assets/x/rooms.css")],
        405: [client.raw.get("/time/stop")],
        413: [client.raw.post("/settings/shop", **too_much)],
        500: [client.raw.get("/breaks")],
    }
    for status, found in answers.items():
        for answer in found:
            assert answer.status_code == status
            assert HEADERS.items() <= dict(answer.headers).items(), status
            assert answer.headers["Cache-Control"]
    assert "default-src 'none'" in HEADERS["Content-Security-Policy"]
    assert "unsafe" not in HEADERS["Content-Security-Policy"]


def fetch(client: ExaminingClient, path: str) -> int:
    response = client.raw.get(path)
    assert response.status_code < 500, f"{path}: {response.text[:2000]}"
    if response.status_code == 200:
        client.get(path)
    return response.status_code


def digest(data_dir: Path) -> str:
    return hashlib.sha256((data_dir / "ledger.sqlite").read_bytes()).hexdigest()
