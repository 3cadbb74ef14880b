"""Text travels squeezed to browsers that can take it; pictures and files do not."""

import gzip

import pytest
from flask import Flask, Response

from app.web.squeezing import WORTH_IT, squeeze_answers
from tests.examining_client import ExaminingClient

LONG = "sanded and waxed; " * 200
SQUEEZED = {"Accept-Encoding": "gzip, br"}


@pytest.fixture
def answering() -> Flask:
    app = Flask("squeezed")
    squeeze_answers(app)
    app.add_url_rule("/long", "long", lambda: LONG)
    app.add_url_rule("/short", "short", lambda: "x" * (WORTH_IT - 1))
    app.add_url_rule("/picture", "picture", lambda: Response(LONG, content_type="image/webp"))
    app.add_url_rule("/in-parts", "in_parts", lambda: Response(iter([LONG]), content_type="text/csv"))
    return app


def test_a_long_page_is_squeezed_and_comes_out_whole(answering: Flask) -> None:
    answer = answering.test_client().get("/long", headers=SQUEEZED)
    assert answer.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(answer.data).decode() == LONG
    assert int(answer.headers["Content-Length"]) == len(answer.data) < len(LONG) // 10


@pytest.mark.parametrize("path", ["/short", "/picture", "/in-parts"])
def test_what_is_short_no_text_or_sent_in_parts_stays_as_it_is(answering: Flask, path: str) -> None:
    assert "Content-Encoding" not in answering.test_client().get(path, headers=SQUEEZED).headers


@pytest.mark.parametrize("taken", [{}, {"Accept-Encoding": "identity"}, {"Accept-Encoding": "gzip;q=0"}])
def test_a_browser_that_cannot_take_it_gets_the_plain_page(answering: Flask, taken: dict[str, str]) -> None:
    answer = answering.test_client().get("/long", headers=taken)
    assert answer.text == LONG
    assert answer.headers["Vary"] == "Accept-Encoding"


def test_the_same_text_is_always_the_same_bytes(answering: Flask) -> None:
    client = answering.test_client()
    assert client.get("/long", headers=SQUEEZED).data == client.get("/long", headers=SQUEEZED).data


def test_pages_and_style_sheet_of_the_shop_travel_squeezed(client: ExaminingClient) -> None:
    page = client.raw.get("/", headers=SQUEEZED)
    assert page.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(page.data) == client.raw.get("/").data
