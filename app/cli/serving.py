"""Answer browsers until asked to stop, and stop without cutting an answer short."""

import errno
import logging
import signal
import socket
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from wsgiref.types import StartResponse, WSGIApplication

from cheroot.wsgi import Server
from flask import Flask

from app.basics.errors import RuleError
from app.cli.ciphering import SECONDS_TO_SPEAK, Ciphers, Connection

THREADS = 8
# So many may knock at once before the system turns some away: a phone sends its photos side by side.
MOST_KNOCKING = 128
SECONDS_TO_FINISH = 10
LOOK_UP_EVERY = 0.5
ANY_PORT = 0
LONGEST_HEADER = 64 * 1024
# Far above what any page takes in: a browser with a few photos too many is heard out and told, beyond this it is not.
LARGEST_BODY = 1024**3
CHUNK = 64 * 1024
STOP_SIGNALS = (signal.SIGTERM, signal.SIGINT)

log = logging.getLogger("tackcloth")


@dataclass(frozen=True)
class Counter:
    """Where browsers are answered: a name or address of this computer, and a port.

    With a `certificate`, the file that holds it with its key, all that is said there is enciphered.
    """

    host: str
    port: int
    certificate: Path | None = None

    @property
    def url(self) -> str:
        """What a browser opens."""
        return f"{'https' if self.certificate else 'http'}://{self.host}:{self.port}/"


class _Server(Server):
    """The server with its troubles in our log, and without its version in every answer."""

    ConnectionClass = Connection
    max_request_header_size = LONGEST_HEADER
    max_request_body_size = LARGEST_BODY

    def error_log(self, msg: str = "", level: int = logging.INFO, traceback: bool = False) -> None:  # noqa: FBT001, FBT002
        """Write down what went wrong between the server and a browser."""
        log.log(level, msg, exc_info=traceback)


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
        ready([_as_bound(counter, server) for counter, server in zip(counters, servers, strict=True)])
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
def _bound(app: Flask, counters: Sequence[Counter]) -> Iterator[list[_Server]]:
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


def _hearing_out(app: Flask) -> WSGIApplication:
    """The application, answering only when the browser has sent all it had to send.

    A browser cut off in the middle shows no answer at all, and the server by itself would gather an unread rest in
    memory at once, however long it is.
    """

    def answer(environ: dict[str, Any], start_response: StartResponse) -> Iterable[bytes]:
        body = app(environ, start_response)
        # A browser that goes away or falls silent is noticed when the answer is sent.
        with suppress(OSError, ValueError):
            while environ["wsgi.input"].read(CHUNK):
                pass
        return body

    return answer


def _server(app: Flask | None, counter: Counter) -> _Server:
    place = (counter.host, counter.port)
    heard = None if app is None else _hearing_out(app)
    server = _Server(
        place,
        heard,
        numthreads=THREADS,
        request_queue_size=MOST_KNOCKING,
        timeout=SECONDS_TO_SPEAK,
        shutdown_timeout=SECONDS_TO_FINISH,
        server_name="Tackcloth",
    )
    if counter.certificate is not None:
        server.ssl_adapter = Ciphers(counter.certificate)
    return server


def _as_bound(counter: Counter, server: _Server) -> Counter:
    return replace(counter, port=server.bind_addr[1])


def _stop(servers: Sequence[_Server]) -> None:
    for server in servers:
        server.stop()


def _said_plainly(trouble: OSError, counter: Counter) -> RuleError:
    number = _why_not(counter)
    if number == errno.EADDRINUSE:
        return RuleError(
            f"Port {counter.port} is in use by another program. Stop that one, or choose another port with --port."
        )
    if number == errno.EACCES:
        return RuleError(f"This system does not allow you port {counter.port}. Choose one above 1023 with --port.")
    if number == errno.EADDRNOTAVAIL:
        return RuleError(f"This computer does not have the address {counter.host}.")
    return RuleError(f"Nobody can be served at {counter.url}: {trouble}")


def _why_not(counter: Counter) -> int | None:
    """The system's number for what keeps us from this place; the server's own error tells it in words only."""
    try:
        kind, *_, place = socket.getaddrinfo(counter.host, counter.port, type=socket.SOCK_STREAM)[0]
        with socket.socket(kind) as trial:
            trial.bind(place)
    except OSError as trouble:
        return trouble.errno
    return None


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
