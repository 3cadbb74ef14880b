"""Money given back in part, as a browser meets it."""

from fractions import Fraction

import pytest

from app.basics.money import half_up
from app.database.unit_of_work import Ledger
from app.pieces.models import Piece
from app.sales.models import Sale
from tests.builders.sales import a_refund
from tests.examining_client import ExaminingClient, Page
from tests.sales.pages import Refusal, all_sales, fields_of

WHOLE = {"refund": "20", "on_date": "2026-11-23", "reason": "a scratch", "tax_refunded": "1.65", "fees_back": "2"}


def test_money_is_given_back_once_and_shown_with_the_sale(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale]
) -> None:
    piece, sale = sold
    path = f"/sales/{sale.id}/refund"
    assert "At most $265.00" in client.get(path).text
    fields = fields_of(client.get(path).text, path)
    answers = [client.post(path, {**fields, **WHOLE}) for _ in range(2)]
    assert {(answer.status_code, answer.location) for answer in answers} == {(303, f"/sales/{sale.id}")}
    (row,) = all_sales(ledger, piece.id)
    assert (row.refunded_cents, row.stands) == (20_00, True)
    page = client.get(f"/sales/{sale.id}").text
    for words in ("Given back on 23 Nov 2026", "What remains after fees, delivery and refunds", "$197.80", "a scratch"):
        assert words in page
    listed = client.get("/sales?month=2026-11").text
    assert "$20.00 given back" in listed
    assert "Given back in part in November 2026" in listed
    assert client.get("/sales.csv").text.splitlines()[1].endswith(",20.00,1.65,2.00,,,0.00,")
    back = client.get(f"/sales/{sale.id}/return").text
    assert 'value="245.00"' in back
    assert "$20.00 of it was given back in part before." in back


@pytest.mark.parametrize(("typed", "given_back"), [("", "its share"), ("0", "none")])
def test_of_tax_that_is_not_said_the_share_of_the_refund_is_given_back(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale], typed: str, given_back: str
) -> None:
    piece, sale = sold
    brought = sale.price_cents + sale.delivery_charged_cents
    assert sale.tax_cents * 20_00 // brought > 0

    client.post_form(f"/sales/{sale.id}/refund", {**WHOLE, "tax_refunded": typed})

    (row,) = all_sales(ledger, piece.id)
    (refund,) = row.refunds
    share = half_up(Fraction(20_00 * sale.tax_cents, brought))
    assert refund.tax_refunded_cents == (share if given_back == "its share" else 0)


@pytest.mark.parametrize(
    "refusal",
    [
        Refusal({"refund": "265.01"}, "refund", "The refund is more than"),
        Refusal({"refund": ""}, "refund", "Type how much of the price was given back."),
        Refusal({"refund": "0"}, "refund", "Type how much of the price was given back."),
        Refusal({"tax_refunded": "19.81"}, "tax_refunded", "The tax given back is more"),
        Refusal({"fees_back": "31.21"}, "fees_back", "The fees given back are more"),
        Refusal({"on_date": "2026-11-19"}, "on_date", "before the day of the sale"),
        Refusal({"on_date": "2026-11-26"}, "on_date", "has not come yet"),
        Refusal({"reason": ""}, "reason", "Say why it was given back"),
    ],
)
def test_a_refund_that_cannot_be_is_refused_at_its_box(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale], refusal: Refusal
) -> None:
    answer = client.post_form(f"/sales/{sold[1].id}/refund", {**WHOLE, **refusal.said})
    assert answer.status_code == 422
    assert f'<a href="#{refusal.field}">' in answer.text
    assert refusal.words in answer.text
    assert all_sales(ledger, sold[0].id)[0].refunds == ()


def test_a_mistaken_refund_is_struck_out_before_its_sale_can_be(
    client: ExaminingClient, ledger: Ledger, sold: tuple[Piece, Sale]
) -> None:
    sale = sold[1]
    with ledger.writing() as session:
        refund = a_refund(session, sale)
    assert "Strike out that refund first" in client.get(f"/sales/{sale.id}/strike", status=409).text
    path = f"/refunds/{refund.id}/strike"
    assert path in Page(client.get(f"/sales/{sale.id}").text).links
    assert client.post_form(path, {"reason": "wrong sale"}).location == f"/sales/{sale.id}"
    page = client.get(f"/sales/{sale.id}").text
    assert "<s>Given back on 23 Nov 2026</s>" in page
    assert "$215.80" in page
    assert "This refund was struck out" in client.get(path).text
    client.get(f"/sales/{sale.id}/strike")


def test_refunds_nobody_made_are_not_found(client: ExaminingClient) -> None:
    for path in ("/sales/99/refund", "/refunds/99/strike"):
        client.get(path, status=404)
