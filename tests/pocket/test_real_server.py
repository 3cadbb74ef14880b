"""The real server under fifty phones at once, and killed in the middle: one piece, two photos, nothing lost."""

import hashlib
import json
import random
import shutil
import sqlite3
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime
from functools import partial
from http.client import HTTPConnection, HTTPException
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

import pytest

from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from app.photos.store import original_path
from app.shop.actions import set_up_shop
from tests.builders.captures import a_find, new_id
from tests.builders.photos import BLUE, photo_bytes
from tests.conftest import SHOP
from tests.live import PATIENCE_SECONDS, LiveShop, free_port, start_loaded_server, start_server, stop_server

PHONES = 50
KILLS, LONG_KILLS = 4, 40
LONGEST_WAIT_SECONDS = 0.2
PHOTOS = (photo_bytes(), photo_bytes(colour=BLUE))
STARTED = datetime(2024, 1, 2, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path, migrated_file: Path) -> Path:
    """A data folder with a shop that is set up."""
    shop = tmp_path / "live"
    shop.mkdir()
    shutil.copy(migrated_file, shop / "ledger.sqlite")
    ledger = Ledger(make_engine(f"sqlite:///{shop / 'ledger.sqlite'}"))
    with ledger.writing() as session:
        set_up_shop(session, SHOP, now=STARTED)
    ledger.close()
    return shop


@pytest.fixture
def live(folder: Path) -> Iterator[LiveShop]:
    """The server on that folder."""
    shop = start_server(folder)
    yield shop
    stop_server(shop)


def put(port: int, path: str, body: bytes, kind: str) -> tuple[int, dict[str, Any]]:
    """One request over a connection of its own: its status and what it tells."""
    with closing(HTTPConnection("127.0.0.1", port, timeout=PATIENCE_SECONDS)) as line:
        line.request("PUT", path, body, {"Origin": f"http://127.0.0.1:{port}", "Content-Type": kind})
        answer = line.getresponse()
        told = answer.read()
        return answer.status, json.loads(told) if told else {}


def put_capture(port: int, capture_id: str, data: dict[str, Any]) -> tuple[int, dict[str, Any]]:
    return put(port, f"/captures/{capture_id}", json.dumps(data).encode(), "application/json")


def put_photo(port: int, capture_id: str, body: bytes) -> int:
    sha256 = hashlib.sha256(body).hexdigest()
    return put(port, f"/captures/{capture_id}/photos/{sha256}", body, "application/octet-stream")[0]


def steps(
    port: int, capture_id: str, data: dict[str, Any], photos: tuple[bytes, ...] = PHOTOS
) -> list[Callable[[], int]]:
    """What a phone does to send a find with two photos, one request after the other."""
    return [
        lambda: put_capture(port, capture_id, data)[0],
        *(partial(put_photo, port, capture_id, body) for body in photos),
        lambda: put_capture(port, capture_id, data)[0],
    ]


def at_once(works: list[Callable[[], Any]]) -> list[Any]:
    """Do all of it from as many threads, begun at the same moment."""
    gate = threading.Barrier(len(works))

    def begin(work: Callable[[], Any]) -> Any:
        gate.wait()
        return work()

    with ThreadPoolExecutor(len(works)) as pool:
        return list(pool.map(begin, works))


def counted(folder: Path, table: str) -> int:
    with closing(sqlite3.connect(folder / "ledger.sqlite")) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
        return int(raw.execute(f"SELECT count(*) FROM {table}").fetchone()[0])


def require_photos_whole(folder: Path, photos: tuple[bytes, ...] = PHOTOS) -> None:
    for body in photos:
        assert original_path(folder / "photos", hashlib.sha256(body).hexdigest()).read_bytes() == body


def port_of(shop: LiveShop) -> int:
    return int(shop.url.rsplit(":", 1)[1])


def test_fifty_phones_that_send_the_same_find_make_one_piece(live: LiveShop) -> None:
    capture_id, port = new_id(), port_of(live)
    data = a_find(capture_id, photos=PHOTOS)

    def send_all() -> list[int]:
        return [step() for step in steps(port, capture_id, data)]

    answers = at_once([send_all] * PHONES)
    first, *photos, last = zip(*answers, strict=True)
    assert set(first) <= {202, 201, 200}
    assert {status for each in photos for status in each} == {204}
    assert set(last) <= {201, 200}
    entered = Counter(status for each in answers for status in (each[0], each[-1]))
    assert entered[201] == 1
    home = at_once([lambda: put_capture(port, capture_id, data)] * PHONES)
    assert {status for status, _ in home} == {200}
    assert len({json.dumps(told) for _, told in home}) == 1
    tables = ("piece", "purchase", "photo", "capture", "capture_photo")
    assert [counted(live.data_dir, table) for table in tables] == [1, 1, 2, 1, 2]
    require_photos_whole(live.data_dir)
    print(f"{PHONES} phones, {PHONES * 5} requests: {dict(entered)}")  # noqa: T201


def test_fifty_contents_under_one_number_make_one_piece_and_the_others_are_told(live: LiveShop) -> None:
    capture_id, port = new_id(), port_of(live)
    contents = [a_find(capture_id, what=f"chest {number}") for number in range(PHONES)]
    answers = at_once([partial(put_capture, port, capture_id, data) for data in contents])
    assert Counter(status for status, _ in answers) == {201: 1, 409: PHONES - 1}
    assert len({json.dumps(told["made"]) for _, told in answers}) == 1
    assert [counted(live.data_dir, table) for table in ("piece", "capture")] == [1, 1]


def test_fifty_of_one_photo_at_once_are_one_photo(live: LiveShop) -> None:
    capture_id, port = new_id(), port_of(live)
    data = a_find(capture_id, photos=PHOTOS)
    assert put_capture(port, capture_id, data)[0] == 202
    put_photo(port, capture_id, PHOTOS[1])
    assert set(at_once([lambda: put_photo(port, capture_id, PHOTOS[0])] * PHONES)) == {204}
    assert put_capture(port, capture_id, data)[0] == 201
    assert counted(live.data_dir, "photo") == 2
    require_photos_whole(live.data_dir)
    assert [path for path in (live.data_dir / "photos").rglob("*") if path.suffix == ".draft"] == []


def test_killed_between_any_two_steps_the_find_arrives_whole(folder: Path) -> None:
    capture_id, port = new_id(), free_port()
    data = a_find(capture_id, photos=PHOTOS)
    for step in steps(port, capture_id, data):
        server = start_loaded_server(folder, port)
        assert step() in {201, 202, 204}
        kill(server)
    server = start_loaded_server(folder, port)
    assert put_capture(port, capture_id, data)[0] == 200
    kill(server)
    require_whole(folder, PHOTOS, finds=1)


def test_killed_at_any_moment_every_find_arrives_once(folder: Path, is_long: bool) -> None:  # noqa: FBT001
    kills, port = LONG_KILLS if is_long else KILLS, free_port()
    moments = random.Random(20261126)  # noqa: S311 - moments of a test, not secrets
    cut = 0
    for number in range(1, kills + 1):
        capture_id = new_id()
        # Photos of its own for each find: those that lie there already would not be written in danger.
        photos = tuple(photo_bytes(colour=(number, place, 90)) for place in range(2))
        send = steps(port, capture_id, a_find(capture_id, what=f"chest {number}", photos=photos), photos)
        server = start_loaded_server(folder, port)
        killer = threading.Timer(moments.random() * LONGEST_WAIT_SECONDS, kill, (server,))
        killer.start()
        cut += send_until_killed(send)
        killer.join()
        server = start_loaded_server(folder, port)
        statuses = [step() for step in send]
        kill(server)
        assert set(statuses) <= {200, 201, 202, 204}
        assert statuses[-1] in {200, 201}
        require_whole(folder, photos, finds=number)
    assert cut, "no kill cut a sending in two"
    print(f"{kills} kills, {cut} of them before the find was home")  # noqa: T201


def send_until_killed(send: list[Callable[[], int]]) -> bool:
    """Send a find again and again until the server is gone; whether that was before it had arrived once."""
    arrived = False
    try:
        while True:
            arrived |= [step() for step in send][-1] in {200, 201}
    except (OSError, HTTPException):
        return not arrived


def require_whole(folder: Path, photos: tuple[bytes, ...], *, finds: int) -> None:
    assert [counted(folder, table) for table in ("piece", "capture")] == [finds, finds]
    assert counted(folder, "photo") == len(photos) * finds
    require_photos_whole(folder, photos)


def kill(server: BaseProcess) -> None:
    server.kill()
    server.join(PATIENCE_SECONDS)
