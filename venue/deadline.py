"""Hang up on a connection when its time is over, also where a byte comes now and then. Pure."""

from __future__ import annotations

import socket
import ssl
from contextlib import suppress
from threading import Event, Lock, Timer

Socket = socket.socket


class Deadline:
    """Give it each socket as soon as there is one: what comes when the time is over is hung up at once."""

    def __init__(self, seconds: float) -> None:
        self.over = Event()
        self._lock = Lock()
        self._socket: Socket | None = None
        self._timer = Timer(seconds, self._hang_up)
        self._timer.daemon = True

    def __enter__(self) -> Deadline:
        self._timer.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._timer.cancel()

    @property
    def socket(self) -> Socket | None:
        return self._socket

    @socket.setter
    def socket(self, given: Socket) -> None:
        with self._lock:
            self._socket = given
            if self.over.is_set():
                _shut(given)

    def _hang_up(self) -> None:
        with self._lock:
            self.over.set()
            if self._socket is not None:
                _shut(self._socket)


def secured(plain: Socket, context: ssl.SSLContext, host: str, deadline: Deadline) -> ssl.SSLSocket:
    """The same connection under TLS, within the deadline. Raises OSError; then it is closed.

    The handshake comes after the deadline has the new socket: the old one is empty by then."""
    deadline.socket = plain
    try:
        secure = context.wrap_socket(plain, server_hostname=host, do_handshake_on_connect=False)
    except BaseException:
        plain.close()
        raise
    deadline.socket = secure
    try:
        secure.do_handshake()
    except BaseException:
        secure.close()
        raise
    return secure


def _shut(given: Socket) -> None:
    """That of the plain socket: the one of TLS would go on unencrypted for a moment."""
    with suppress(OSError):
        Socket.shutdown(given, socket.SHUT_RDWR)
