"""Turning the pages of a list: what the address says is kept, whatever it says."""

import pytest

from app.database.unit_of_work import Ledger
from tests.builders.pieces import a_piece
from tests.examining_client import ExaminingClient


@pytest.mark.parametrize(
    "words", ["endpoint=x", "_method=DELETE", "_scheme=ftp", "_external=1", "_anchor=x", "values=1"]
)
def test_no_word_of_an_address_means_something_else_to_a_list(
    client: ExaminingClient, ledger: Ledger, words: str
) -> None:
    with ledger.writing() as session:
        for _ in range(25):
            a_piece(session)
    page = client.get(f"/pieces?{words}").text
    assert f'href="/pieces?{words}&amp;page=2"' in page
    assert f'href="/pieces.csv?{words}"' in page


def test_the_next_page_keeps_what_was_searched(client: ExaminingClient, ledger: Ledger) -> None:
    with ledger.writing() as session:
        for _ in range(25):
            a_piece(session, title="Salt & pepper stool")
    page = client.get("/pieces?q=salt+%26+pepper&page=1").text
    assert 'href="/pieces?q=salt+%26+pepper&amp;page=2"' in page
    assert 'href="/pieces.csv?q=salt+%26+pepper"' in page
    assert client.get("/pieces?q=salt+%26+pepper&page=2").text.count("25 to 25 of 25") == 1
