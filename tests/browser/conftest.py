"""A real browser on a real server: Chromium through Playwright, the server as its own process."""

import os
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Playwright, sync_playwright

from app.access.actions import set_passphrase
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from app.demo.actions import load_demo
from app.shop.actions import set_up_shop
from tests.browser.trusting import trust
from tests.conftest import SHOP
from tests.live import LiveShop, SecureShop, start_server, start_share, stop_server

PASSPHRASE = "copper kettle on the sill"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str | None:
    """Where the browser is, if there is one."""
    return os.environ.get("TACKCLOTH_TEST_BROWSER") or shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    """What drives browsers; there can be only one at a time."""
    with sync_playwright() as playwright:
        yield playwright


def require_chromium() -> str:
    """Where the browser is; without one the test is left out, under CI failed."""
    path = chromium()
    if path is None:
        if os.environ.get("CI") == "true":
            pytest.fail("no Chromium on this machine, and under CI that is a failure")
        pytest.skip("no Chromium on this machine; set TACKCLOTH_TEST_BROWSER to its path")
    return path


@pytest.fixture(scope="session")
def browser(driver: Playwright) -> Iterator[Browser]:
    found = driver.chromium.launch(executable_path=require_chromium(), args=FLAGS)
    yield found
    found.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """A phone's window: 390 by 844, touch."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    yield context
    context.close()


@pytest.fixture
def make_shop(tmp_path: Path, migrated_file: Path) -> Callable[[str], Path]:
    """Make a data folder with a shop that is set up and empty."""

    def make(name: str) -> Path:
        folder = tmp_path / name
        folder.mkdir()
        shutil.copy(migrated_file, folder / "ledger.sqlite")
        ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
        with ledger.writing() as session:
            set_up_shop(session, SHOP, now=datetime(2024, 1, 2, tzinfo=UTC))
        ledger.close()
        return folder

    return make


@pytest.fixture
def live_shop(make_shop: Callable[[str], Path]) -> Iterator[LiveShop]:
    """A running server on an empty shop."""
    shop = start_server(make_shop("live"))
    yield shop
    stop_server(shop)


@pytest.fixture(scope="session")
def demo_shop(tmp_path_factory: pytest.TempPathFactory, migrated_file: Path) -> Iterator[LiveShop]:
    """A running server on the demo shop; tests that use it only look."""
    folder = tmp_path_factory.mktemp("demo-shop")
    shutil.copy(migrated_file, folder / "ledger.sqlite")
    ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
    with ledger.writing() as session:
        load_demo(session, folder / "photos", now=datetime.now(UTC))  # noqa: TID251 - the browser lives in real time
    ledger.close()
    shop = start_server(folder)
    yield shop
    stop_server(shop)


@pytest.fixture
def secure_shop(make_shop: Callable[[str], Path]) -> Iterator[SecureShop]:
    """A locked and empty shop, shared over https on this computer."""
    folder = make_shop("shared")
    ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
    with ledger.writing() as session:
        set_passphrase(session, PASSPHRASE, now=datetime(2024, 1, 2, tzinfo=UTC))
    ledger.close()
    shop = start_share(folder, PASSPHRASE)
    yield shop
    stop_server(shop)


@pytest.fixture
def open_phone(
    driver: Playwright, secure_shop: SecureShop, tmp_path: Path
) -> Iterator[Callable[[str], BrowserContext]]:
    """Open a phone's browser that trusts the shared shop; under the same name it is the same phone, with all it kept.

    Close the context to put the phone away; it can be opened again.
    """
    opened: list[BrowserContext] = []

    def begin(name: str) -> BrowserContext:
        home = tmp_path / f"home-of-{name}"
        trust(home, secure_shop.ca_pem)
        opened.append(
            driver.chromium.launch_persistent_context(
                home / "profile",
                executable_path=require_chromium(),
                args=FLAGS,
                env={**os.environ, "HOME": str(home)},
                viewport={"width": 390, "height": 844},
                has_touch=True,
                is_mobile=True,
            )
        )
        return opened[-1]

    yield begin
    for context in opened:
        context.close()
