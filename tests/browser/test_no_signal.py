"""In a barn without signal, the phone killed again and again, the home computer too: each find arrives whole, once."""

import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest
from playwright.sync_api import Error, Playwright

from app.photos.store import original_path
from tests.browser.pocketing import (
    Phone,
    a_photo,
    all_is_home,
    log_find,
    make_ready,
    photos_of,
    require_no_signal,
)
from tests.live import SecureShop, start_share, stop_server

pytestmark = [pytest.mark.browser]

ROUNDS, LONG_ROUNDS = 3, 50
SEED = 20261126
LONGEST_BEFORE_KILL_S = 2.5
LONGEST_LOGGING_S = 1.2


@pytest.fixture
def phone(driver: Playwright, secure_shop: SecureShop, tmp_path: Path) -> Iterator[Phone]:
    found = Phone(driver, tmp_path / "phone", secure_shop)
    yield found
    found.put_away()
    found.kill()


@dataclass
class Run:
    """A run of many rounds: its shop and phone, and what the phone told before each kill."""

    phone: Phone
    shop: SecureShop
    folder: Path
    chance: Random
    told: dict[str, list[Path]] = field(default_factory=dict)
    untold: dict[str, list[Path]] = field(default_factory=dict)
    phone_kills: int = 0
    cut_logging: int = 0
    server_kills: int = 0
    offline_rounds: int = 0

    @property
    def is_up(self) -> bool:
        return self.shop.process.poll() is None

    def kill_phone(self) -> None:
        """Kill the phone; counted is only one that was open."""
        self.phone_kills += self.phone.kill()

    def start(self) -> None:
        if not self.is_up:
            self.shop = start_share(self.shop.data_dir, self.shop.passphrase)

    def stop(self) -> None:
        if self.is_up:
            stop_server(self.shop)

    def kill_server(self) -> None:
        if self.is_up:
            self.server_kills += 1
            self.shop.process.kill()
            self.shop.process.wait()


def test_finds_logged_without_signal_arrive_once_and_whole_however_often_all_is_killed(
    phone: Phone,
    secure_shop: SecureShop,
    tmp_path: Path,
    is_long: bool,  # noqa: FBT001 - a fixture
) -> None:
    rounds = LONG_ROUNDS if is_long else ROUNDS
    run = Run(phone, secure_shop, tmp_path, Random(SEED))  # noqa: S311 - moments of a test, not secrets
    make_ready(phone)
    # Put away politely once: a browser killed within seconds of the sign-in may have it still to write down.
    phone.put_away()
    try:
        for number in range(rounds):
            one_round(run, number)
        run.start()
        all_is_home(phone.open())
    finally:
        run.stop()
    require_all_home(run)
    assert run.phone_kills >= rounds, "the phone was hardly ever open when it was killed"
    counts = f"{len(run.told)} finds told as saved, {len(run.untold)} killed before, {run.cut_logging} kills in logging"
    print(f"{rounds} rounds: {counts}; {run.phone_kills} phone kills, {run.server_kills} server kills")  # noqa: T201


def one_round(run: Run, number: int) -> None:
    """A find in the barn; then the phone and the home computer go and come at moments by chance."""
    photos = [a_photo(run.folder / f"{number}-{place}.jpg", run.chance) for place in range(2)]
    if number == 0 or run.chance.random() < 0.6:
        run.chance.choice([run.stop, run.kill_server])()
        run.offline_rounds += 1
    else:
        run.start()
    run.kill_phone()
    log_under_threat(run, f"find number {number}", photos, is_certain=number == 0)
    for _ in range(run.chance.randrange(1, 3)):
        run.chance.choice([run.start, run.start, run.stop, run.kill_server])()
        send_under_threat(run)


def log_under_threat(run: Run, what: str, photos: list[Path], *, is_certain: bool) -> None:
    """Log a find from a cold start; unless it is to be certain, the phone may die at any moment of it."""
    page = run.phone.open()
    if not run.is_up:
        require_no_signal(page, what.rpartition(" ")[2])
    killed = threading.Event()

    def kill() -> None:
        killed.set()
        run.kill_phone()

    threat = threading.Timer(run.chance.random() * LONGEST_LOGGING_S, kill)
    if not is_certain and run.chance.random() < 0.5:
        threat.start()
    try:
        log_find(page, what, photos)
    except (Error, AssertionError):
        assert killed.is_set(), "the page failed though nobody killed the phone"
        run.untold[what] = photos
    else:
        run.told[what] = photos
    threat.cancel()
    if threat.ident:
        threat.join()
    run.cut_logging += killed.is_set()
    run.kill_phone()


def send_under_threat(run: Run) -> None:
    """Open the phone for a while; it sends by itself, and either side may be killed while it does."""
    threats = [
        threading.Timer(run.chance.random() * LONGEST_BEFORE_KILL_S, deed)
        for deed in (run.kill_phone, run.kill_server)
        if run.chance.random() < 0.5
    ]
    with suppress(Error):
        run.phone.open()
        for threat in threats:
            threat.start()
        time.sleep(run.chance.random() * LONGEST_BEFORE_KILL_S)
    for threat in threats:
        threat.cancel()
        if threat.ident:
            threat.join()
    run.kill_phone()


def require_all_home(run: Run) -> None:
    """What the phone told as saved is at home once; what it had not told is there once or not; none is halved."""
    data = run.shop.data_dir
    for what, photos in {**run.told, **run.untold}.items():
        found = photos_of(data, what)
        wanted = [sha256(photo.read_bytes()).hexdigest() for photo in photos]
        assert len(found) == 1 or (what in run.untold and not found), what
        for hashes in found.values():
            assert hashes == wanted, what
            for digest, photo in zip(hashes, photos, strict=True):
                assert original_path(data / "photos", digest).read_bytes() == photo.read_bytes()
