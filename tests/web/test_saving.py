"""A page saves once: repeats are harmless, changed repeats are asked about, troubles keep what was typed."""

import pytest
from flask import Flask, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy import text

from app.basics.errors import RuleError, StaleEdit
from app.database.unit_of_work import Ledger, LedgerBusy, LedgerFull, Session
from app.web.forms import LineField, MoneyField, VersionedForm, required
from app.web.saving import local_path, save
from tests.examining_client import ExaminingClient, Page

PATH = "/settings/sources"


def count(ledger: Ledger, name: str) -> int:
    with ledger.reading() as session:
        rows = session.execute(text("SELECT count(*) FROM source WHERE name = :name"), {"name": name})
        return int(rows.scalar_one())


def hidden_fields(client: ExaminingClient) -> dict[str, str]:
    fields: dict[str, str] = Page(client.get(PATH).text).forms[0]["fields"]
    return fields


def test_a_double_click_saves_once_and_leads_to_the_same_page(client: ExaminingClient, ledger: Ledger) -> None:
    sent = {**hidden_fields(client), "name": "church fair"}
    first, second = client.post(PATH, sent), client.post(PATH, sent)
    assert (first.status_code, second.status_code) == (303, 303)
    assert first.headers["Location"] == second.headers["Location"]
    assert count(ledger, "church fair") == 1
    assert "nothing was saved twice" in client.get(PATH).text


def test_going_back_and_saving_something_else_is_asked_about(client: ExaminingClient, ledger: Ledger) -> None:
    hidden = hidden_fields(client)
    client.post(PATH, {**hidden, "name": "church fair"})
    asked = client.post(PATH, {**hidden, "name": "harvest fair"})
    assert asked.status_code == 409
    assert "harvest fair" in asked.text
    assert count(ledger, "harvest fair") == 0
    fresh = {**Page(asked.text).forms[0]["fields"], "name": "harvest fair"}
    assert client.post(PATH, fresh).status_code == 303
    assert count(ledger, "harvest fair") == 1


def test_a_wrong_answer_keeps_everything_typed_and_says_so_at_the_field(client: ExaminingClient) -> None:
    refused = client.post(PATH, {**hidden_fields(client), "name": "x" * 10_000})
    assert refused.status_code == 422
    assert "x" * 10_000 in refused.text
    assert 'aria-invalid="true"' in refused.text
    assert "<title>Error: " in refused.text


def test_a_form_without_its_token_of_one_use_still_saves(client: ExaminingClient, ledger: Ledger) -> None:
    hidden = {name: value for name, value in hidden_fields(client).items() if name != "submit_token"}
    assert client.post(PATH, {**hidden, "name": "church fair"}).status_code == 303
    assert count(ledger, "church fair") == 1


class TroubleForm(VersionedForm):
    words = LineField("Words", [required("Write some words.")])
    price = MoneyField("Price")


@pytest.fixture
def troubled(app: Flask, shop: object) -> ExaminingClient:  # noqa: ARG001
    """A page whose action raises what its words name."""
    troubles = {
        "busy": LedgerBusy("The ledger is busy."),
        "full": LedgerFull("The disk is full."),
        "rule": RuleError("Not like that.", "price"),
        "elsewhere": RuleError("Not here.", "nowhere"),
        "stale": StaleEdit("thing", {"Words": "theirs"}, 7),
    }

    def page() -> ResponseReturnValue:
        form = TroubleForm.from_request()

        def act(_session: Session) -> None:
            raise troubles[str(form.words.data)]

        return save(form, act, to=lambda _: url_for("desk.today"), again=lambda: shown(form))

    app.add_url_rule("/trouble", view_func=page, methods=["POST"])
    return ExaminingClient(app)


def shown(form: TroubleForm) -> str:
    errors = [*form.form_errors, *(f"price: {line}" for line in form.price.errors)]
    return f"<title>t</title><h1>t</h1>{form.version.data}|{form.words.data}|{'; '.join(errors)}"


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        ("busy", 503, "The ledger is busy."),
        ("full", 507, "The disk is full."),
        ("rule", 422, "price: Not like that."),
        ("elsewhere", 422, "Not here."),
        ("stale", 409, "7|stale|The thing was changed"),
    ],
)
def test_each_trouble_shows_the_form_again_with_its_words(
    troubled: ExaminingClient, words: str, status: int, said: str
) -> None:
    token = hidden_fields(troubled)["csrf_token"]
    answer = troubled.post("/trouble", {"csrf_token": token, "words": words, "submit_token": "t", "version": "3"})
    assert answer.status_code == status
    assert said in answer.text


@pytest.mark.parametrize(
    "wanted",
    ["//evil.example/x", "https://evil.example", "/\\evil.example", "\\\\evil", "javascript:alert(1)", "", None],
)
def test_a_way_on_that_leads_elsewhere_is_not_taken(wanted: str | None) -> None:
    assert local_path(wanted, "/safe") == "/safe"


def test_a_way_on_inside_the_shop_is_taken() -> None:
    assert local_path("/pieces/7K4?x=1", "/safe") == "/pieces/7K4?x=1"
