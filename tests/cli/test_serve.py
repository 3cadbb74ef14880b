"""Opening, sharing and trying the shop: real processes, real sockets, real signals."""

import json
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from app.access.actions import set_passphrase
from app.basics.settings import DEFAULT_PORT
from app.cli import main
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from tests.builders.safekeeping import a_kept_shop
from tests.cli.conftest import Run, fetch, run_once
from tests.live import free_port

Start = Callable[..., Run]
OPEN = "The shop is open at"
GOOD = "copper kettle on the sill"
ELSEWHERE = "127.0.0.2"


@pytest.fixture
def locked(data_dir: Path, now: datetime) -> Path:
    """A shop with a passphrase."""
    ledger = Ledger(make_engine(a_kept_shop(data_dir).url))
    with ledger.writing() as session:
        set_passphrase(session, GOOD, now=now)
    ledger.close()
    return data_dir


def at_once(folder: Path, *words: str) -> Result:
    """Run a command that is refused before it serves anybody; no process of its own is needed for it."""
    return CliRunner().invoke(main, ["--data", str(folder), *words])


def opened(start: Start, folder: Path, port: int) -> Run:
    run = start("--data", str(folder), "open", "--no-browser", "--port", str(port))
    assert run.wait_for(OPEN).split() == [*OPEN.split(), f"http://127.0.0.1:{port}/"]
    return run


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_the_shop_opens_answers_and_closes_cleanly(
    start: Start, tmp_path: Path, port: int, number: signal.Signals
) -> None:
    run = opened(start, tmp_path / "shop", port)
    assert (fetch(port).status, fetch(port).getheader("Location")) == (303, "/start")
    assert json.loads((tmp_path / "shop" / "running.json").read_text())["url"] == f"http://127.0.0.1:{port}/"
    assert run.stop(number) == (0, "")
    assert (tmp_path / "shop").stat().st_mode & 0o077 == 0, "other users of this computer can look into the shop"
    assert not (tmp_path / "shop" / "running.json").exists()
    with pytest.raises(ConnectionRefusedError):
        fetch(port)


def test_the_ledger_is_whole_and_free_after_closing(start: Start, tmp_path: Path, port: int) -> None:
    folder = tmp_path / "shop"
    opened(start, folder, port).stop()
    assert not list(folder.glob("ledger.sqlite-*"))
    assert opened(start, folder, port).stop() == (0, "")


def test_an_answer_begun_is_finished_before_closing(start: Start, tmp_path: Path, port: int) -> None:
    run = opened(start, tmp_path / "shop", port)
    with socket.create_connection(("127.0.0.1", port), timeout=20) as visitor:
        head = f"POST /start HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nOrigin: http://127.0.0.1:{port}\r\n"
        form = "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 10\r\nConnection: close\r\n\r\n"
        visitor.sendall((head + form + "name=").encode())
        # The first half of the form is with a worker before the signal comes.
        assert fetch(port).status == 303
        run.process.send_signal(signal.SIGTERM)
        visitor.sendall(b"chest")
        answer = b""
        while part := visitor.recv(4096):
            answer += part
    assert answer.startswith(b"HTTP/1.1 400")
    assert run.end() == (0, "")


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """The port of a shop opened once for all tests that leave nothing behind."""
    port = free_port()
    run = Run("--data", str(tmp_path_factory.mktemp("running") / "shop"), "open", "--no-browser", "--port", str(port))
    run.wait_for(OPEN)
    run.watch.cancel()
    yield port
    assert run.stop() == (0, "")


def test_no_answer_tells_the_version_of_what_answers(running: int) -> None:
    for path in ("/", "/start", "/nothing"):
        assert fetch(running, path).getheader("Server") == "Tackcloth"


def test_a_strange_host_gets_nothing(running: int) -> None:
    for host in ("evil.example", f"evil.example:{running}", "127.0.0.1.evil.example", "192.168.1.20"):
        assert fetch(running, "/start", Host=host).status == 400
    for host in (f"localhost:{running}", "127.0.0.1", f"127.0.0.1:{running}"):
        assert fetch(running, "/start", Host=host).status == 200


def test_a_request_that_names_no_host_gets_nothing(running: int) -> None:
    for request in ("GET /start HTTP/1.0\r\n\r\n", "GET /start HTTP/1.1\r\nConnection: close\r\n\r\n"):
        with socket.create_connection(("127.0.0.1", running), timeout=20) as visitor:
            visitor.sendall(request.encode())
            assert visitor.recv(4096).split()[1] == b"400"


def test_a_post_from_a_strange_page_is_refused(running: int) -> None:
    for origin in ("http://evil.example", f"https://127.0.0.1:{running}", f"http://127.0.0.1:{running + 1}"):
        assert fetch(running, "/start", method="POST", Origin=origin).status == 403
    assert fetch(running, "/start", method="POST").status == 403


@pytest.mark.parametrize(
    ("path", "kind", "origin", "status"),
    [
        ("/start", "application/x-www-form-urlencoded", "its own", b"413"),
        ("/start", "multipart/form-data; boundary=part", "its own", b"413"),
        ("/start", "application/x-www-form-urlencoded", "another", b"403"),
    ],
)
def test_who_sends_far_too_much_is_heard_out_and_told(
    running: int, path: str, kind: str, origin: str, status: bytes
) -> None:
    size = 12_000_000
    sender = f"http://127.0.0.1:{running}" if origin == "its own" else "http://evil.example"
    head = f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{running}\r\nOrigin: {sender}\r\nContent-Type: {kind}\r\n"
    with socket.create_connection(("127.0.0.1", running), timeout=20) as visitor:
        visitor.sendall(f"{head}Content-Length: {size}\r\nConnection: close\r\n\r\n".encode())
        # A browser reads the answer only when all is sent, and shows none if the line is cut before.
        visitor.sendall(b"x" * size)
        answer = b"".join(iter(lambda: visitor.recv(65536), b""))
    assert answer.split()[1] == status
    assert answer.rstrip().endswith(b"</html>")


def test_more_than_any_page_could_take_in_is_not_even_listened_to(running: int) -> None:
    head = f"POST /start HTTP/1.1\r\nHost: 127.0.0.1:{running}\r\nContent-Length: {2 * 1024**3}\r\n\r\n"
    with socket.create_connection(("127.0.0.1", running), timeout=20) as visitor:
        visitor.sendall(head.encode())
        assert visitor.recv(4096).split()[1] == b"413"


def test_a_port_in_use_is_told_in_plain_words(tmp_path: Path, port: int) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", port))
        other.listen()
        done = run_once("--data", str(tmp_path), "open", "--no-browser", "--port", str(port))
    assert done.returncode == 2
    assert done.stderr.strip() == (
        f"Port {port} is in use by another program. Stop that one, or choose another port with --port."
    )


def test_opening_an_open_shop_leads_to_it(start: Start, tmp_path: Path, port: int) -> None:
    folder = tmp_path / "shop"
    opened(start, folder, port)
    done = at_once(folder, "open", "--no-browser")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout == f"The shop is open already at http://127.0.0.1:{port}/\n"


def test_an_open_shop_is_neither_shared_nor_restored_over(
    start: Start, locked: Path, tmp_path: Path, port: int
) -> None:
    backup = str(tmp_path / "backup.zip")
    assert at_once(locked, "backup", backup).exit_code == 0
    opened(start, locked, port)
    for words in (["share", "--host", ELSEWHERE], ["restore", "--yes", backup]):
        done = at_once(locked, *words)
        assert done.exit_code == 2
        assert done.stderr.startswith(f"The shop is open already at http://127.0.0.1:{port}/.")


def test_open_serves_this_computer_alone_whatever_the_settings_say(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TACKCLOTH_HOST", ELSEWHERE.replace("127", "192"))
    done = at_once(tmp_path, "open", "--no-browser")
    assert done.exit_code == 2
    assert "`tackcloth share` is for that" in done.stderr


def test_the_demo_opens_a_full_shop_at_a_free_port_and_leaves_nothing_behind(
    start: Start, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    with usual_port_taken():
        run = start("demo", "--no-browser")
        port = int(run.wait_for("is open at").rsplit(":", 1)[1].strip("/\n"))
        assert port != DEFAULT_PORT
        assert len(list(tmp_path.glob("tackcloth-demo-*"))) == 1
        assert fetch(port).status == 200
        assert "tackcloth-demo=" in (fetch(port, "/find").getheader("Set-Cookie") or "")
        assert run.stop() == (0, "")
    assert list(tmp_path.iterdir()) == []


@contextmanager
def usual_port_taken() -> Iterator[None]:
    with socket.socket() as other:
        other.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        # Where somebody else has it already, that is as good.
        with suppress(OSError):
            other.bind(("127.0.0.1", DEFAULT_PORT))
            other.listen()
        yield
