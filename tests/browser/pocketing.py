"""A phone that can be killed like one whose battery dies, and what its owner does on the pocket's page."""

import contextlib
import os
import re
import signal
import sqlite3
import time
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from random import Random

from PIL import Image
from playwright.sync_api import BrowserContext, Error, Page, Playwright, expect

from tests.browser.conftest import FLAGS, require_chromium
from tests.browser.trusting import trust
from tests.live import SecureShop

PATIENCE_MS = 45_000


class Phone:
    """One phone with all it keeps; it can be opened again after it was put away or killed."""

    def __init__(self, driver: Playwright, home: Path, shop: SecureShop) -> None:
        self.shop = shop
        self._driver = driver
        self._home = home
        self._context: BrowserContext | None = None
        trust(home, shop.ca_pem)

    @property
    def profile(self) -> Path:
        """Where the browser keeps its data."""
        return self._home / "profile"

    def open(self, path: str = "/pocket") -> Page:
        """Start the browser from cold and open a page of the shop."""
        self.put_away()
        self._context = self._driver.chromium.launch_persistent_context(
            self.profile,
            executable_path=require_chromium(),
            args=FLAGS,
            env={**os.environ, "HOME": str(self._home)},
            viewport={"width": 390, "height": 844},
            has_touch=True,
            is_mobile=True,
        )
        self._context.set_default_timeout(PATIENCE_MS)
        page = self._context.pages[0]
        page.goto(self.shop.url + path)
        return page

    def window(self) -> Page:
        """One more window of the browser that is open."""
        assert self._context is not None
        return self._context.new_page()

    def put_away(self) -> None:
        """Close the browser politely."""
        if self._context is not None:
            with contextlib.suppress(Error):
                self._context.close()
        self._context = None

    def kill(self) -> bool:
        """End the browser and every process it started at once, as when the battery dies; tells whether it was open."""
        was_open = False
        while processes := [pid for main in self._mains() for pid in (main, *descendants(main))]:
            was_open = True
            for pid in processes:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)
            time.sleep(0.02)
        return was_open

    def _mains(self) -> list[int]:
        mark = f"--user-data-dir={self.profile}".encode()
        return [pid for pid, words in processes() if mark in words and not any(w.startswith(b"--type=") for w in words)]


def processes() -> Iterator[tuple[int, list[bytes]]]:
    """Every process there is, with the words of its command."""
    for folder in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            yield int(folder.name), (folder / "cmdline").read_bytes().split(b"\0")


def descendants(pid: int) -> list[int]:
    """All processes that a process started, and that those started."""
    try:
        threads = list(Path(f"/proc/{pid}/task").iterdir())
        children = [int(one) for thread in threads for one in (thread / "children").read_text().split()]
    except OSError:
        return []
    return [one for child in children for one in (child, *descendants(child))]


def sign_in(page: Page, shop: SecureShop) -> None:
    """Sign in on the page that asks for it."""
    page.get_by_label("Passphrase").fill(shop.passphrase)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_load_state()


def make_ready(phone: Phone) -> Page:
    """Open the pocket once at home, until it works without signal."""
    page = phone.open()
    sign_in(page, phone.shop)
    expect(page).to_have_url(phone.shop.url + "/pocket")
    page.wait_for_load_state("networkidle")
    page.reload()
    expect(page.locator("#test-worker")).to_have_text("yes")
    expect(page.locator("#status")).to_contain_text("all is home")
    return page


def require_no_signal(page: Page, mark: str) -> None:
    """Prove that nothing answers: an address that nothing keeps cannot be fetched."""
    assert page.evaluate("(path) => fetch(path).then(() => 'answered', () => 'silent')", f"/nowhere-{mark}") == "silent"


def a_photo(path: Path, chance: Random) -> Path:
    """A real photo of some hundred kilobytes with its own content."""
    noise = Image.frombytes("RGB", (320, 240), chance.randbytes(320 * 240 * 3))
    buffer = BytesIO()
    noise.resize((640, 480)).save(buffer, "JPEG", quality=90, comment=path.name.encode())
    path.write_bytes(buffer.getvalue())
    return path


def begin_find(page: Page, what: str, photos: list[Path]) -> None:
    """Fill the form of a find in, down to the last photo."""
    page.get_by_role("button", name="Log a find").click()
    page.get_by_label("What is it?").fill(what)
    page.get_by_label("Paid").fill("45.50")
    page.locator("#find input[type=file][multiple]").set_input_files(photos)
    expect(page.locator("#find .pocket-photos img")).to_have_count(len(photos))


def save_find(page: Page) -> str:
    """Press Save and wait for the words; the reference to write on tape."""
    page.get_by_role("button", name="Save the find").click()
    expect(page.locator("#saved-at")).to_have_text(re.compile(r"^Saved on this phone \d\d:\d\d$"))
    return page.locator("#saved-reference").inner_text()


def log_find(page: Page, what: str, photos: list[Path]) -> str:
    """Log a find on the phone; the reference to write on tape."""
    begin_find(page, what, photos)
    return save_find(page)


def go_back(page: Page) -> None:
    """From a saved capture to the list."""
    page.get_by_role("button", name="Done").click()


def find_home(page: Page) -> None:
    """Let the phone notice that there is a network; the button may be gone by itself at any moment."""
    page.evaluate("dispatchEvent(new Event('online'))")


def all_is_home(page: Page) -> None:
    """Wait until nothing waits on the phone."""
    expect(page.locator("#status")).to_have_text(
        re.compile("^(Nothing waits; all is home|\\d+ not finished)[.]$"), timeout=60_000
    )


def photos_of(data_dir: Path, title: str) -> dict[int, list[str]]:
    """Of each piece with a title the hashes of its photos, in their order."""
    with contextlib.closing(sqlite3.connect(data_dir / "ledger.sqlite")) as ledger:
        pieces = [row[0] for row in ledger.execute("select id from piece where title = ?", (title,))]
        rows = "select sha256 from photo where piece_id = ? order by position"
        return {piece: [row[0] for row in ledger.execute(rows, (piece,))] for piece in pieces}
