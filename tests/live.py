"""Start and stop the real server as its own process, and talk to it as a plain browser without scripts would."""

import http.cookiejar
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from dataclasses import dataclass
from pathlib import Path

from tests.examining_client import Page

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
    for _ in range(PATIENCE_SECONDS * 20):
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=1):
                return LiveShop(f"http://127.0.0.1:{port}", data_dir, process)
        except OSError:
            assert process.poll() is None, "the server ended at once"
            time.sleep(0.05)
    raise AssertionError("the server did not answer")


def stop_server(shop: LiveShop) -> int:
    """End the server politely and give its exit code."""
    shop.process.send_signal(signal.SIGTERM)
    return shop.process.wait(timeout=PATIENCE_SECONDS)


class PlainBrowser:
    """Cookies and forms, nothing else."""

    def __init__(self, url: str) -> None:
        self.url = url
        jar = http.cookiejar.CookieJar()
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))

    def get(self, path: str) -> str:
        """The text of a page."""
        with self._opener.open(self.url + path, timeout=PATIENCE_SECONDS) as answer:
            return str(answer.read().decode())

    def send(self, path: str, fields: dict[str, str]) -> str:
        """Fill in the form on `path` over what stands in it, send it, and give the address it led to."""
        page = Page(self.get(path))
        filled = next(form["filled"] for form in page.forms if (form["action"] or path) == path)
        body = urllib.parse.urlencode({**filled, **fields}).encode()
        request = urllib.request.Request(self.url + path, data=body, headers={"Origin": self.url})
        with self._opener.open(request, timeout=PATIENCE_SECONDS) as answer:
            return str(answer.url).removeprefix(self.url)
