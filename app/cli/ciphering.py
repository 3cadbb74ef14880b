"""The enciphered line: what a phone and the shop say to each other cannot be read or changed on the way."""

import socket
import ssl
from pathlib import Path

from cheroot.server import HTTPConnection
from cheroot.ssl.builtin import BuiltinSSLAdapter

SECONDS_TO_SHAKE_HANDS = 5
SECONDS_TO_SPEAK = 10
MOST_SAID = 64 * 1024
HANDSHAKE = b"\x16"
"""How every enciphered line begins (RFC 8446, 5.1: the content type of a handshake)."""
_WORDS = b"This address begins with https:// and not with http://.\n"
NO_CIPHER = (
    b"HTTP/1.1 400 Bad Request\r\nContent-Type: text/plain; charset=utf-8\r\nConnection: close\r\n"
    b"Content-Length: %d\r\n\r\n%s" % (len(_WORDS), _WORDS)
)


class Ciphers(BuiltinSSLAdapter):
    """Wraps what comes in and leaves the handshake to the worker that answers.

    The server's own way shakes hands where it accepts: a phone that falls silent in between would keep all others out.
    """

    def __init__(self, certificate: Path) -> None:
        super().__init__(str(certificate), str(certificate))
        self.context.minimum_version = ssl.TLSVersion.TLSv1_2

    def wrap(self, sock: socket.socket) -> tuple[ssl.SSLSocket, dict[str, str]]:
        """The line, ready for a handshake, and what a page must know of it."""
        wrapped = self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False)
        return wrapped, {"wsgi.url_scheme": "https", "HTTPS": "on"}


class Connection(HTTPConnection):
    """One browser on the line; on an enciphered one hands are shaken before it is listened to."""

    has_begun = False

    def communicate(self) -> bool:
        """Answer what is asked; tells whether the line stays open.

        Whoever has said nothing yet is put back among those that wait, before hands are shaken and after it: browsers
        keep spare lines ready, and silent ones must keep no worker from the others. Whoever does not trust the
        certificate or speaks something else goes away: that is no trouble of ours.
        """
        if not self.has_begun:
            try:
                first = _first_byte(self.socket)
                if first is None:
                    return True
                if isinstance(self.socket, ssl.SSLSocket):
                    self.has_begun = _shake_hands(self.socket, first)
                    return self.has_begun
                self.has_begun = True
            except OSError:
                return False
        return bool(super().communicate())  # type: ignore[no-untyped-call]


# An enciphered line itself refuses to be peeked into.
_plain = socket.socket


def _first_byte(line: socket.socket) -> bytes | None:
    """What the line begins with, left there to be read: nothing at its end, None while it is silent."""
    line.settimeout(0)
    try:
        return _plain.recv(line, 1, socket.MSG_PEEK)
    except BlockingIOError:
        return None
    finally:
        line.settimeout(SECONDS_TO_SPEAK)


def _shake_hands(line: ssl.SSLSocket, first: bytes) -> bool:
    if first != HANDSHAKE:
        _plain.recv(line, MOST_SAID)
        _plain.sendall(line, NO_CIPHER)
        return False
    line.settimeout(SECONDS_TO_SHAKE_HANDS)
    line.do_handshake()
    line.settimeout(SECONDS_TO_SPEAK)
    return True
