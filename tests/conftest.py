"""Fixtures: one moment, one migrated ledger copied for each test, a client that examines every page."""

import shutil
import socket
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from cryptography.x509.verification import PolicyBuilder
from flask import Flask
from freezegun import freeze_time
from hypothesis import HealthCheck, settings
from sqlalchemy.orm import Session

from app.basics.quantities import Units
from app.basics.settings import Settings
from app.database.migrate import upgrade
from app.database.unit_of_work import Ledger
from app.factory import create_app
from app.shop.actions import set_up_shop
from app.shop.rules import ShopFacts
from tests.examining_client import ExaminingClient

# A weekday morning in the shop's zone, some days before a month's end.
NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
SHOP = ShopFacts(
    name="Bent Nail Workshop",
    currency="USD",
    time_zone="America/Denver",
    units=Units.IMPERIAL,
    started_on=date(2024, 1, 1),
)

# Certificates look up the type of a moment once; let them do it before time is frozen.
PolicyBuilder().time(NOW)

settings.register_profile("short", max_examples=60, deadline=None, derandomize=True)
settings.register_profile("long", max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="full counts for property tests and repeated trials")


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile("long" if config.getoption("--long") else "short")


def pytest_report_header(config: pytest.Config) -> str:
    profile = "long" if config.getoption("--long") else "short"
    return f"property tests: profile {profile}, {settings.get_profile(profile).max_examples} examples each"


@pytest.fixture(scope="session")
def is_long(request: pytest.FixtureRequest) -> bool:
    """Whether the full counts were asked for."""
    return bool(request.config.getoption("--long"))


@pytest.fixture(autouse=True)
def _only_loopback(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tool asks nothing of the outside world; neither do its tests."""
    connect = socket.socket.connect

    def refuse(self: socket.socket, address: Any) -> None:
        host = address[0] if isinstance(address, tuple) else "a local socket"
        if host not in {"127.0.0.1", "::1", "localhost", "a local socket"}:
            raise AssertionError(f"a test tried to reach {host}")
        connect(self, address)

    monkeypatch.setattr(socket.socket, "connect", refuse)


@pytest.fixture
def now() -> Iterator[datetime]:
    """The moment at which the test's world stands still."""
    with freeze_time(NOW, ignore=["playwright"]):
        yield NOW


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty ledger at the newest layout, made once."""
    folder = tmp_path_factory.mktemp("migrated")
    path = folder / "ledger.sqlite"
    upgrade(f"sqlite:///{path}", ledger_file=path, copies_dir=folder / "copies", now=NOW)
    return path


@pytest.fixture
def data_dir(tmp_path: Path, migrated_file: Path) -> Path:
    """A data folder with its own copy of the empty ledger."""
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(migrated_file, folder / "ledger.sqlite")
    return folder


@pytest.fixture
def app(data_dir: Path, now: datetime) -> Iterator[Flask]:  # noqa: ARG001
    """The application on that folder."""
    application = create_app(Settings(data_dir=data_dir))
    application.config["TESTING"] = False
    yield application
    application.extensions["tackcloth_ledger"].close()


@pytest.fixture
def ledger(app: Flask) -> Ledger:
    """The ledger of the application."""
    found: Ledger = app.extensions["tackcloth_ledger"]
    return found


@pytest.fixture
def shop(ledger: Ledger, now: datetime) -> ShopFacts:
    """A shop that is set up."""
    with ledger.writing() as session:
        set_up_shop(session, SHOP, now=now)
    return SHOP


@pytest.fixture
def session(ledger: Ledger, shop: ShopFacts) -> Iterator[Session]:  # noqa: ARG001
    """A writing session on a shop that is set up; commit it yourself where another reader must see it."""
    with ledger.writing() as open_session:
        yield open_session


@pytest.fixture
def client(app: Flask, shop: ShopFacts) -> ExaminingClient:  # noqa: ARG001
    """A browser stand-in that examines every page it fetches."""
    return ExaminingClient(app)


@pytest.fixture
def bare_client(app: Flask) -> ExaminingClient:
    """The same on a shop that was never started."""
    return ExaminingClient(app)
