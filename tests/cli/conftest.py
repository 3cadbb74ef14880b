"""The command as its owner runs it: in a process of its own, on a free port."""

import os
import signal
import socket
import ssl
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from http.client import HTTPConnection, HTTPResponse
from pathlib import Path

import pytest

from tests.live import free_port

ROOT = Path(__file__).parents[2]
PATIENCE = 60
# The second loopback address, which no test may reach by itself, stands for the home network here.
_connect = socket.socket.connect


class Run:
    """One run of the command that serves browsers."""

    def __init__(self, *words: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "app.cli", *words],
            cwd=ROOT,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        self.said: list[str] = []
        self.watch = threading.Timer(PATIENCE, self.process.kill)
        self.watch.start()

    def wait_for(self, words: str) -> str:
        """Read what it says up to the line with these words, and give that line."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line)
            if words in line:
                return line
        raise AssertionError(f"never said {words!r}: {''.join(self.said)}{self.process.communicate()[1]}")

    def stop(self, number: signal.Signals = signal.SIGTERM) -> tuple[int, str]:
        """Ask it to stop; give its exit code and what it wrote to the error stream."""
        self.process.send_signal(number)
        return self.end()

    def end(self) -> tuple[int, str]:
        """Wait for its end."""
        rest, troubles = self.process.communicate(timeout=PATIENCE)
        self.watch.cancel()
        self.said.append(rest)
        return self.process.returncode, troubles


@pytest.fixture
def start() -> Iterator[Callable[..., Run]]:
    """Start runs that are ended with the test."""
    runs: list[Run] = []

    def begin(*words: str) -> Run:
        runs.append(Run(*words))
        return runs[-1]

    yield begin
    for run in runs:
        run.watch.cancel()
        if run.process.poll() is None:
            run.process.kill()
            run.process.communicate()


@pytest.fixture
def port() -> int:
    """A port that was free a moment ago."""
    return free_port()


class Answer(HTTPResponse):
    """An answer of the server that was read to its end."""

    body = ""


class _Line(HTTPConnection):
    response_class = Answer


def fetch(
    port: int,
    path: str = "/",
    *,
    host: str = "127.0.0.1",
    method: str = "GET",
    ciphers: ssl.SSLContext | None = None,
    body: str | None = None,
    **headers: str,
) -> Answer:
    """Ask the server for a page, enciphered or not; the whole answer has been read when this returns."""
    with socket.socket() as bare, closing(_Line(host, port)) as connection:
        bare.settimeout(PATIENCE)
        _connect(bare, (host, port))
        connection.sock = ciphers.wrap_socket(bare, server_hostname=host) if ciphers else bare
        connection.request(method, path, body=body, headers=headers)
        answer = connection.getresponse()
        assert isinstance(answer, Answer)
        answer.body = answer.read().decode("utf-8", "replace")
    return answer


def run_once(*words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """Run the command to its end, with something typed at it."""
    return subprocess.run(
        [sys.executable, "-m", "app.cli", *words],
        cwd=ROOT,
        input=typed,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=PATIENCE,
        check=False,
    )
