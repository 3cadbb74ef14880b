"""Sharing the shop with the home network: real processes, real sockets, real ciphers."""

import re
import shutil
import socket
import ssl
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sqlalchemy import select

from app.access.actions import set_passphrase
from app.access.models import WrongTry
from app.access.queries import home_address, passphrase_is_set
from app.access.rules import Home
from app.access.store import what_to_trust
from app.cli import main
from app.cli.ciphering import SECONDS_TO_SPEAK
from app.cli.serving import THREADS
from app.cli.sharing import _counters
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger
from tests.builders.safekeeping import a_kept_shop
from tests.cli.conftest import Answer, Run, fetch, run_once
from tests.conftest import NOW
from tests.live import two_free_ports

Start = Callable[..., Run]
GOOD = "copper kettle on the sill"
ELSEWHERE = "127.0.0.2"
HERE = "127.0.0.1"


@pytest.fixture
def pair() -> int:
    """The first of two ports in a row that were free a moment ago."""
    return two_free_ports()


@pytest.fixture
def locked(data_dir: Path, now: datetime) -> Path:  # noqa: ARG001
    """A shop with a passphrase."""
    return with_passphrase(data_dir)


def with_passphrase(folder: Path) -> Path:
    ledger = Ledger(make_engine(a_kept_shop(folder).url))
    with ledger.writing() as session:
        set_passphrase(session, GOOD, now=NOW)
    ledger.close()
    return folder


@dataclass(frozen=True)
class Standing:
    """A shop that is shared for all tests that leave nothing behind."""

    folder: Path
    port: int


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory, migrated_file: Path) -> Iterator[Standing]:
    folder, port = tmp_path_factory.mktemp("standing"), two_free_ports()
    shutil.copy(migrated_file, folder / "ledger.sqlite")
    with_passphrase(folder)
    run = Run("--data", str(folder), "share", "--host", HERE, "--port", str(port))
    run.wait_for("Press Ctrl+C")
    run.watch.cancel()
    yield Standing(folder, port)
    assert run.stop() == (0, "")


def at_once(folder: Path, *words: str, typed: str = "") -> Result:
    """Run a command that is refused before it serves anybody; no process of its own is needed for it."""
    return CliRunner().invoke(main, ["--data", str(folder), *words], input=typed)


def shared(start: Start, folder: Path, host: str, port: int, *more: str) -> Run:
    run = start("--data", str(folder), "share", "--host", host, "--port", str(port), *more)
    run.wait_for("Press Ctrl+C")
    return run


def ciphers_of(folder: Path) -> ssl.SSLContext:
    """What a phone has that trusts the shop's authority and nothing else."""
    trusted = what_to_trust(folder)
    assert trusted is not None
    return ssl.create_default_context(cadata=trusted.der)


def known(folder: Path) -> Home | None:
    ledger = Ledger(make_engine(f"sqlite:///{folder / 'ledger.sqlite'}"))
    try:
        with ledger.reading() as session:
            return home_address(session)
    finally:
        ledger.close()


def secure_fetch(folder: Path, port: int, path: str, *, host: str = HERE, **kwargs: str) -> Answer:
    return fetch(port, path, host=host, ciphers=ciphers_of(folder), **kwargs)


def test_a_shared_shop_is_enciphered_at_its_address_and_asks_everybody_to_sign_in(
    start: Start, locked: Path, pair: int
) -> None:
    run = shared(start, locked, ELSEWHERE, pair)
    said = "".join(run.said)
    trusted = what_to_trust(locked)
    assert trusted is not None
    assert f"Phones at home find it at https://{ELSEWHERE}:{pair}/\n" in said
    assert f"trust the shop's certificate there: http://{ELSEWHERE}:{pair + 1}/certificate\n" in said
    assert trusted.fingerprint in said
    assert "not enciphered" in said
    assert "Settings, Phones, Pair a phone" in said
    square = [line for line in said.splitlines() if re.fullmatch(r"[\u2580\u2584\u2588 ]{20,}", line)]
    assert len(square) >= 12
    assert secure_fetch(locked, pair, "/books", host=ELSEWHERE).getheader("Location") == "/sign-in?next=/books"
    for host in (HERE, ELSEWHERE):
        assert fetch(pair + 1, "/books", host=host).getheader("Location") == "/sign-in?next=/books"
        assert fetch(pair + 1, "/sign-in", host=host).status == 200
    assert run.stop() == (0, "")
    assert known(locked) == Home(ELSEWHERE, pair)


def test_a_strange_name_and_a_strange_page_are_refused_over_the_cipher_too(standing: Standing) -> None:
    locked, pair = standing.folder, standing.port
    own = socket.gethostname().partition(".")[0].casefold()
    for host in ("evil.example", f"evil.example:{pair}", "127.0.0.1.evil.example", "192.168.1.20"):
        assert secure_fetch(locked, pair, "/sign-in", Host=host).status == 400
    for host in (f"{HERE}:{pair}", f"localhost:{pair}", f"{own}.local:{pair}"):
        assert secure_fetch(locked, pair, "/sign-in", Host=host).status == 200
    for origin in ("https://evil.example", f"http://{HERE}:{pair}", f"https://{HERE}:{pair + 1}"):
        assert secure_fetch(locked, pair, "/sign-in", method="POST", Origin=origin).status == 403
    for method in ("TRACE", "PROPFIND", "CONNECT", "BREW"):
        assert secure_fetch(locked, pair, "/sign-in", method=method).status in {403, 405}
        assert secure_fetch(locked, pair, "/books", method=method).status in {303, 403, 405}
    answer = secure_fetch(locked, pair, "/sign-in")
    assert answer.getheader("Strict-Transport-Security") is None
    assert re.match(
        r"__Host-tackcloth=[^;]+; Secure; HttpOnly; Path=/; SameSite=Lax$", answer.getheader("Set-Cookie") or ""
    )
    assert (fetch(pair + 1, "/sign-in").getheader("Set-Cookie") or "").startswith("tackcloth=")


def test_the_wrong_kind_of_line_and_a_silent_one_keep_nobody_out(standing: Standing) -> None:
    locked, pair = standing.folder, standing.port
    silent = [socket.create_connection((HERE, port), timeout=20) for port in (pair, pair + 1) for _ in range(12)]
    with socket.create_connection((HERE, pair), timeout=20) as plain:
        plain.sendall(b"GET /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        answer = b"".join(iter(lambda: plain.recv(4096), b""))
    assert answer.startswith(b"HTTP/1.1 400 ")
    assert answer.endswith(b"begins with https:// and not with http://.\n")
    with pytest.raises(ssl.SSLError), socket.create_connection((HERE, pair + 1), timeout=20) as line:
        ciphers_of(locked).wrap_socket(line, server_hostname=HERE)
    with pytest.raises(ssl.SSLCertVerificationError), socket.create_connection((HERE, pair), timeout=20) as line:
        ssl.create_default_context().wrap_socket(line, server_hostname=HERE)
    with socket.create_connection((HERE, pair), timeout=20) as line:
        line.sendall(b"\x16\x03\x01\xff\xff nonsense")
    began = time.monotonic()
    assert secure_fetch(locked, pair, "/sign-in").status == 200
    assert fetch(pair + 1, "/sign-in").status == 200
    # All are let go in the end: kept out is who has to wait for that.
    assert time.monotonic() - began < SECONDS_TO_SPEAK / 2
    for line in silent:
        line.close()


def test_spare_lines_that_are_silent_after_the_handshake_keep_nobody_out(standing: Standing) -> None:
    locked, pair = standing.folder, standing.port
    ciphers = ciphers_of(locked)
    lines = [socket.create_connection((HERE, pair), timeout=20) for _ in range(THREADS + 1)]
    spare = [ciphers.wrap_socket(line, server_hostname=HERE) for line in lines]
    began = time.monotonic()
    assert secure_fetch(locked, pair, "/sign-in").status == 200
    assert time.monotonic() - began < SECONDS_TO_SPEAK / 2
    # A spare line is answered as soon as it says something.
    spare[0].sendall(f"GET /sign-in HTTP/1.1\r\nHost: {HERE}\r\n\r\n".encode())
    assert spare[0].recv(15) == b"HTTP/1.1 200 OK"
    for line in spare:
        line.close()


def test_no_older_cipher_than_1_2_is_spoken(standing: Standing) -> None:
    locked, pair = standing.folder, standing.port
    old = ciphers_of(locked)
    with pytest.warns(DeprecationWarning, match="TLSv1_1 is deprecated"):
        old.minimum_version = old.maximum_version = ssl.TLSVersion.TLSv1_1
    old.set_ciphers("ALL:@SECLEVEL=0")
    with pytest.raises(ssl.SSLError), socket.create_connection((HERE, pair), timeout=20) as line:
        old.wrap_socket(line, server_hostname=HERE)
    spoken = ciphers_of(locked)
    spoken.maximum_version = ssl.TLSVersion.TLSv1_2
    with (
        socket.create_connection((HERE, pair), timeout=20) as line,
        spoken.wrap_socket(line, server_hostname=HERE) as enciphered,
    ):
        assert enciphered.version() == "TLSv1.2"


def test_wrong_passphrases_over_the_cipher_cost_their_own_address_a_wait(start: Start, locked: Path, pair: int) -> None:
    shared(start, locked, HERE, pair)
    page = secure_fetch(locked, pair, "/sign-in")
    cookie = (page.getheader("Set-Cookie") or "").partition(";")[0]
    token = re.search(r'name="csrf_token" value="([^"]+)"', page.body)
    assert token is not None
    form = f"csrf_token={token[1]}&passphrase=seventeen+lame+geese"
    sent = {"Origin": f"https://{HERE}:{pair}", "Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded"}
    answers = [secure_fetch(locked, pair, "/sign-in", method="POST", body=form, **sent).status for _ in range(6)]
    assert answers == [422, 422, 422, 422, 422, 429]
    ledger = Ledger(make_engine(f"sqlite:///{locked / 'ledger.sqlite'}"))
    with ledger.reading() as session:
        assert set(session.scalars(select(WrongTry.address))) == {HERE}
    ledger.close()


def test_the_address_is_kept_and_used_again_and_changed_only_on_purpose(start: Start, locked: Path, pair: int) -> None:
    assert shared(start, locked, HERE, pair).stop() == (0, "")
    again = start("--data", str(locked), "share")
    again.wait_for("Press Ctrl+C")
    assert f"https://{HERE}:{pair}/\n" in "".join(again.said)
    assert again.stop() == (0, "")
    for other in (["--host", ELSEWHERE], ["--port", str(pair + 5)]):
        refused = at_once(locked, "share", *other)
        assert refused.exit_code == 2
        assert f"The shop's address is https://{HERE}:{pair}/" in refused.stderr
        assert "--move" in refused.stderr
    fingerprint = what_to_trust(locked)
    moved = start("--data", str(locked), "share", "--host", ELSEWHERE, "--move")
    moved.wait_for("Press Ctrl+C")
    said = "".join(moved.said)
    for words in ("pair each anew", "saved to a file from the old icon", "Tags that were printed name the old address"):
        assert words in said
    assert secure_fetch(locked, pair, "/sign-in", host=ELSEWHERE).status == 200
    assert moved.stop() == (0, "")
    assert known(locked) == Home(ELSEWHERE, pair)
    assert what_to_trust(locked) == fingerprint


def test_an_address_that_went_away_is_told_with_the_way_to_keep_it(
    start: Start, locked: Path, pair: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert shared(start, locked, ELSEWHERE, pair).stop() == (0, "")
    monkeypatch.setattr("app.cli.sharing.has_address", lambda _host: False)
    refused = at_once(locked, "share")
    assert refused.exit_code == 2
    assert f"The shop's address is {ELSEWHERE}, and this computer does not have it now." in refused.stderr
    for words in ("router", "reserve that address", "--move", "paired anew"):
        assert words in refused.stderr


def test_a_move_without_a_name_goes_to_the_address_the_network_gives_and_is_not_kept_before_it_answers(
    start: Start, locked: Path, pair: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert shared(start, locked, HERE, pair).stop() == (0, "")
    monkeypatch.setattr("app.cli.sharing.home_address", lambda: ELSEWHERE)
    served: list[str] = []
    monkeypatch.setattr("app.cli.sharing.serve", lambda _app, counters, **_: served.extend(one.url for one in counters))
    done = at_once(locked, "share", "--move")
    assert (done.exit_code, done.stdout, done.stderr) == (0, "", "")
    assert served == [
        f"http://{HERE}:{pair + 1}/",
        f"https://{ELSEWHERE}:{pair}/",
        f"http://{ELSEWHERE}:{pair + 1}/",
    ]
    assert known(locked) == Home(HERE, pair)


def test_on_the_home_network_this_computer_keeps_the_usual_port_for_itself(tmp_path: Path) -> None:
    counters = _counters(Home("192.168.1.20", 8427), tmp_path)
    assert [one.url for one in counters] == [
        "http://127.0.0.1:8427/",
        "https://192.168.1.20:8427/",
        "http://192.168.1.20:8428/",
    ]


def test_an_address_this_computer_has_not_is_told_in_plain_words_and_not_kept(locked: Path, pair: int) -> None:
    done = run_once("--data", str(locked), "share", "--host", "192.0.2.77", "--port", str(pair))
    assert (done.returncode, done.stderr.strip()) == (2, "This computer does not have the address 192.0.2.77.")
    assert known(locked) is None


def test_a_port_without_another_above_it_is_refused(locked: Path) -> None:
    refused = at_once(locked, "share", "--host", HERE, "--port", "65535")
    assert (refused.exit_code, "two ports" in refused.stderr) == (2, True)


@pytest.mark.parametrize("host", ["0.0.0.0", " "])  # noqa: S104
def test_a_shop_is_never_shared_at_every_address_at_once(locked: Path, host: str) -> None:
    done = at_once(locked, "share", "--host", host)
    assert done.exit_code == 2
    assert done.stderr.startswith("Name one address of this computer")


def test_a_shop_without_a_passphrase_is_not_shared(data_dir: Path, pair: int) -> None:
    a_kept_shop(data_dir)
    done = at_once(data_dir, "share", "--host", ELSEWHERE, "--port", str(pair))
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.startswith("Set a passphrase first")
    with pytest.raises(ConnectionRefusedError):
        fetch(pair, host=ELSEWHERE)


def test_at_a_terminal_the_first_share_asks_for_a_passphrase_until_it_is_a_good_one(
    data_dir: Path, pair: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_kept_shop(data_dir)
    monkeypatch.setattr("app.cli.sharing.is_at_terminal", lambda: True)
    monkeypatch.setattr("app.cli.sharing.serve", lambda *_args, **_kwargs: None)
    typed = f"short\nshort\n{GOOD}\n{GOOD}\n"
    done = at_once(data_dir, "share", "--host", HERE, "--port", str(pair), typed=typed)
    assert (done.exit_code, done.stderr) == (0, "")
    assert "Use 15 characters or more." in done.stdout
    assert "The passphrase is set." in done.stdout
    assert GOOD not in done.stdout
    ledger = Ledger(make_engine(f"sqlite:///{data_dir / 'ledger.sqlite'}"))
    with ledger.reading() as session:
        assert passphrase_is_set(session)
    ledger.close()
