"""Start and stop the real server as its own process."""

import multiprocessing
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.process import BaseProcess
from pathlib import Path

from app.access.queries import home_address
from app.access.store import what_to_trust
from app.database.engine import make_engine
from app.database.unit_of_work import Ledger

ROOT = Path(__file__).parents[1]
PATIENCE_SECONDS = 30


@dataclass
class LiveShop:
    """A server that runs: its address, its data folder and its process."""

    url: str
    data_dir: Path
    process: subprocess.Popen[bytes]


def free_port() -> int:
    """A port nobody listens on at this moment."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


def start_server(data_dir: Path, port: int | None = None) -> LiveShop:
    """Start `tackcloth open` on a folder and wait until it answers."""
    port = port or free_port()
    command = [sys.executable, "-m", "app.cli", "--data", str(data_dir), "open", "--no-browser", "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    wait_for_answer(port, lambda: process.poll() is None)
    return LiveShop(f"http://127.0.0.1:{port}", data_dir, process)


@dataclass
class SecureShop(LiveShop):
    """A shop that is shared over https at `url`; `plain_url` is the same without a cipher, for this computer too.

    `ca_pem` is the certificate of its authority, for browsers to trust; `passphrase` opens it.
    """

    plain_url: str
    ca_pem: Path
    passphrase: str


def start_share(data_dir: Path, passphrase: str) -> SecureShop:
    """Start `tackcloth share` on a folder whose shop is locked, at this computer's own address, and wait for it."""
    port = two_free_ports()
    words = ["--data", str(data_dir), "share", "--host", "127.0.0.1", "--port", str(port)]
    # A shop that was shared before keeps its address.
    if (known := _known_port(data_dir)) is not None:
        port, words = known, words[:3]
    command = [sys.executable, "-m", "app.cli", *words]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    wait_for_answer(port, lambda: process.poll() is None)
    wait_for_answer(port + 1, lambda: process.poll() is None)
    trusted = what_to_trust(data_dir)
    assert trusted is not None
    ca_pem = data_dir / "authority-to-trust.pem"
    ca_pem.write_text(ssl.DER_cert_to_PEM_cert(trusted.der), encoding="ascii")
    plain = f"http://127.0.0.1:{port + 1}"
    return SecureShop(f"https://127.0.0.1:{port}", data_dir, process, plain, ca_pem, passphrase)


def two_free_ports() -> int:
    """The first of two ports in a row that nobody listens on at this moment."""
    while True:
        port = free_port()
        with socket.socket() as next_one:
            try:
                next_one.bind(("127.0.0.1", port + 1))
            except OSError:
                continue
            return port


def _known_port(data_dir: Path) -> int | None:
    ledger = Ledger(make_engine(f"sqlite:///{data_dir / 'ledger.sqlite'}"))
    try:
        with ledger.reading() as session:
            home = home_address(session)
    finally:
        ledger.close()
    return None if home is None else home.port


def wait_for_answer(port: int, is_alive: Callable[[], bool]) -> None:
    """Wait until somebody answers at the port; fails when the server ends before."""
    for _ in range(PATIENCE_SECONDS * 50):
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=1):
                return
        except OSError:
            assert is_alive(), "the server ended at once"
            time.sleep(0.02)
    raise AssertionError("the server did not answer")


def stop_server(shop: LiveShop) -> int:
    """End the server politely and give its exit code."""
    shop.process.send_signal(signal.SIGTERM)
    return shop.process.wait(timeout=PATIENCE_SECONDS)


def start_loaded_server(data_dir: Path, port: int) -> BaseProcess:
    """Start the server in a process that has loaded the program already, which is quick, and wait for it to answer."""
    loaded = multiprocessing.get_context("forkserver")
    loaded.set_forkserver_preload(["app.cli", "app.factory", "tests.live"])
    server = loaded.Process(target=_serve_here, args=(str(data_dir), port))
    server.start()
    wait_for_answer(port, server.is_alive)
    return server


def _serve_here(folder: str, port: int) -> None:
    from app.cli import main

    main(["--data", folder, "open", "--no-browser", "--port", str(port)], prog_name="tackcloth")
