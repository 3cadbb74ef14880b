"""Every list can be taken away as CSV or as a spreadsheet, and both hold the same rows."""

import csv
import re
from datetime import datetime
from html import unescape
from io import BytesIO, StringIO
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from flask import Flask
from openpyxl import load_workbook
from openpyxl.cell import Cell

from app.database.unit_of_work import Ledger
from app.demo.actions import load_demo
from tests.builders.recipes import a_recipe
from tests.every_page import examples
from tests.examining_client import ExaminingClient


@pytest.fixture
def demo(app: Flask, ledger: Ledger, now: datetime, tmp_path: Path) -> ExaminingClient:
    with ledger.writing() as session:
        load_demo(session, tmp_path / "photos", now=now)
        a_recipe(session)
    return ExaminingClient(app)


def list_addresses(app: Flask, ledger: Ledger) -> list[str]:
    with ledger.reading() as session:
        pages = examples(session).paths(app)
    return sorted(path for paths in pages.values() for path in paths if path.endswith(".csv"))


def as_in_csv(cell: Cell) -> str:
    """A cell of the spreadsheet as the CSV writes it."""
    value = cell.value
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, datetime):
        return value.date().isoformat()
    places = len(cell.number_format.partition(".")[2])
    return f"{value:.{places}f}" if cell.number_format.startswith("#,##0") else str(value)


def test_every_list_of_the_demo_shop_is_the_same_as_a_spreadsheet(
    demo: ExaminingClient, app: Flask, ledger: Ledger
) -> None:
    compared = 0
    for path in list_addresses(app, ledger):
        answer = demo.raw.get(path)
        if answer.status_code == 404:
            continue
        text = answer.text
        rows = list(csv.reader(StringIO(text, newline="")))
        sheet = load_workbook(BytesIO(demo.get(f"{path}?as=xlsx").data)).active
        assert sheet is not None
        found = [[as_in_csv(cell) for cell in row] for row in sheet.iter_rows()]
        assert found == [[cell.removeprefix("'") for cell in row] for row in rows], path
        compared += len(rows) - 1
        assert demo.get(f"{path}?bom=1").data == b"\xef\xbb\xbf" + text.encode("utf-8"), path
    assert compared > 1000


def test_a_spreadsheet_comes_under_its_own_name_and_type(client: ExaminingClient) -> None:
    answer = client.get("/books/months.csv?as=xlsx")

    assert answer.headers["Content-Disposition"] == 'attachment; filename="months.xlsx"'
    assert answer.content_type == "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    assert answer.headers["Cache-Control"] == "no-store"
    assert load_workbook(BytesIO(answer.data)).sheetnames == ["months"]


def test_an_unknown_way_is_the_plain_list(client: ExaminingClient) -> None:
    assert client.get("/books/months.csv?as=stone").data == client.get("/books/months.csv").data


def test_every_page_that_offers_a_list_offers_the_spreadsheet_beside_it(
    demo: ExaminingClient, app: Flask, ledger: Ledger
) -> None:
    with ledger.reading() as session:
        pages = examples(session).paths(app)
    offered = set()
    for path in [path for paths in pages.values() for path in paths if not path.endswith((".csv", ".pdf"))]:
        answer = demo.raw.get(path)
        if not (answer.content_type or "").startswith("text/html"):
            continue
        links = {unescape(href) for href in re.findall(r'href="([^"]+)"', answer.text)}
        lists = {href for href in links if urlsplit(href).path.endswith(".csv") and "as=xlsx" not in href}
        for href in lists:
            assert f"{href}{'&' if '?' in href else '?'}as=xlsx" in links, f"{path} offers {href} as a list alone"
        offered |= {urlsplit(href).path for href in lists}
    known = {path for path in list_addresses(app, ledger) if demo.raw.get(path).status_code == 200}
    patterns = {re.sub(r"/(pieces|hauls)/[^/.]+", r"/\1/x", path) for path in offered}
    assert {re.sub(r"/(pieces|hauls)/[^/.]+", r"/\1/x", path) for path in known} - patterns == set()
