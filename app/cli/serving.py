"""Answer browsers until asked to stop, and stop without cutting an answer short."""

import errno
import logging
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from cheroot.wsgi import Server
from flask import Flask

from app.basics.errors import RuleError
from app.cli.network import in_url

THREADS = 8
SECONDS_TO_FINISH = 10
LOOK_UP_EVERY = 0.5
ANY_PORT = 0
LONGEST_HEADER = 64 * 1024
STOP_SIGNALS = (signal.SIGTERM, signal.SIGINT)

log = logging.getLogger("tackcloth")


@dataclass(frozen=True)
class Counter:
    """Where browsers are answered: a name or address of this computer, and a port."""

    host: str
    port: int

    @property
    def url(self) -> str:
        """What a browser opens."""
        return f"http://{in_url(self.host)}:{self.port}/"


def serve(app: Flask, counters: Sequence[Counter], *, ready: Callable[[Sequence[Counter]], None]) -> None:
    """Answer at all counters until SIGTERM or SIGINT; answers begun are finished first.

    `ready` is called with the counters once browsers can come. Refuses a port in use and an address this
    computer has not (RuleError).
    """
    _log_to_terminal()
    stopping = threading.Event()
    with _stopped_by_signal(stopping), _bound(app, counters) as servers:
        threads = [threading.Thread(target=server.serve, name=f"serve {server.bind_addr}") for server in servers]
        for thread in threads:
            thread.start()
        ready([Counter(*server.bind_addr) for server in servers])
        # Windows lets no signal through while a wait has no end.
        while not stopping.wait(LOOK_UP_EVERY) and all(thread.is_alive() for thread in threads):
            pass
        _stop(servers)
        for thread in threads:
            thread.join()


def free_port(host: str, wanted: int) -> int:
    """The wanted port if it is free at this host, else any that is."""
    trial = _server(None, Counter(host, wanted))
    try:
        trial.prepare()
    except OSError:
        return ANY_PORT
    trial.stop()
    return wanted


@contextmanager
def _bound(app: Flask, counters: Sequence[Counter]) -> Iterator[list[Any]]:
    servers = []
    try:
        for counter in counters:
            server = _server(app, counter)
            try:
                server.prepare()
            except OSError as trouble:
                raise _said_plainly(trouble, counter) from trouble
            servers.append(server)
        yield servers
    finally:
        _stop(servers)


def _server(app: Flask | None, counter: Counter) -> Any:
    server = Server(
        (counter.host, counter.port),
        app,
        numthreads=THREADS,
        shutdown_timeout=SECONDS_TO_FINISH,
        # A version in every answer would tell strangers what to try.
        server_name="Tackcloth",
    )
    server.max_request_header_size = LONGEST_HEADER
    server.error_log = _log_trouble
    return server


def _log_trouble(message: str = "", level: int = logging.INFO, traceback: bool = False) -> None:  # noqa: FBT001, FBT002
    log.log(level, message, exc_info=traceback and sys.exc_info()[0] is not None)


def _stop(servers: Sequence[Any]) -> None:
    for server in servers:
        server.stop()


def _said_plainly(trouble: OSError, counter: Counter) -> RuleError:
    number = getattr(trouble.__cause__, "errno", trouble.errno)
    if number == errno.EADDRINUSE:
        return RuleError(
            f"Port {counter.port} is in use by another program. Stop that one, or choose another port with --port."
        )
    if number == errno.EACCES:
        return RuleError(f"This system does not allow you port {counter.port}. Choose one above 1023 with --port.")
    if number == errno.EADDRNOTAVAIL:
        return RuleError(f"This computer does not have the address {counter.host}.")
    return RuleError(f"Nobody can be served at {counter.url}: {trouble.__cause__ or trouble}")


@contextmanager
def _stopped_by_signal(stopping: threading.Event) -> Iterator[None]:
    def stop(_number: int, _frame: object) -> None:
        stopping.set()

    before = {number: signal.signal(number, stop) for number in STOP_SIGNALS}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _log_to_terminal() -> None:
    if not log.handlers:
        handler = logging.StreamHandler()
        handler.setFormatter(logging.Formatter("%(asctime)s %(message)s", "%H:%M:%S"))
        log.addHandler(handler)
        log.setLevel(logging.INFO)
