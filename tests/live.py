"""Start and stop the real server as its own process."""

import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

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
