"""Every trouble gets a page of its own, even when the ledger or the disk is what is in trouble."""

import errno
from contextlib import closing
from datetime import datetime
from pathlib import Path
from sqlite3 import connect

import pytest
from flask import Flask

from app.basics.settings import Settings
from app.factory import create_app
from app.shop.actions import set_up_shop
from tests.conftest import SHOP
from tests.examining_client import ExaminingClient


@pytest.fixture
def breaking(app: Flask, shop: object) -> ExaminingClient:  # noqa: ARG001
    """A shop with a page that breaks as its address says."""
    troubles = {"disk": OSError(errno.ENOSPC, "no room"), "system": OSError(errno.EIO, "no answer"), "own": KeyError()}

    def page(how: str) -> str:
        raise troubles[how]

    app.add_url_rule("/breaks/<how>", view_func=page)
    return ExaminingClient(app)


@pytest.mark.parametrize(
    ("how", "status", "said"),
    [("disk", 507, "The disk is full"), ("system", 500, "Something broke"), ("own", 500, "Something broke")],
)
def test_a_break_in_the_program_or_the_disk_is_told_on_a_page(
    breaking: ExaminingClient, how: str, status: int, said: str
) -> None:
    answer = breaking.get(f"/breaks/{how}", status=status)
    assert said in answer.text
    assert "Go to Today" in answer.text


def test_a_page_that_broke_names_a_number_for_the_log_and_nothing_of_the_program(breaking: ExaminingClient) -> None:
    answer = breaking.get("/breaks/own", status=500)
    assert "finds it in the log" in answer.text
    assert "KeyError" not in answer.text


def test_a_ledger_that_cannot_even_be_looked_at_is_told_as_busy(
    data_dir: Path, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Readers of a write-ahead ledger wait for nobody; those of the rollback journal do.
    monkeypatch.setattr("app.database.engine.SAFE_FOR_WAL", (99,))
    monkeypatch.setattr("app.database.engine.BUSY_SECONDS", 0.1)
    app = create_app(Settings(data_dir=data_dir))
    ledger = app.extensions["tackcloth_ledger"]
    with ledger.writing() as session:
        set_up_shop(session, SHOP, now=now)
    with closing(connect(data_dir / "ledger.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        assert "The ledger is busy" in ExaminingClient(app).get("/pieces", status=503).text
    ExaminingClient(app).get("/pieces")
    ledger.close()


def test_a_way_of_asking_that_a_page_does_not_know_is_told_with_those_it_knows(client: ExaminingClient) -> None:
    answer = client.raw.get("/time/stop")
    assert answer.status_code == 405
    assert {one.strip() for one in answer.headers["Allow"].split(",")} == {"OPTIONS", "POST"}
