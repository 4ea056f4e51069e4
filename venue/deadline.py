"""Hang up on a connection when its time is over, also where a byte comes now and then. Pure."""

from __future__ import annotations

import socket
from contextlib import suppress
from threading import Event, Timer


class Deadline:
    """Give it the socket as soon as there is one."""

    def __init__(self, seconds: float) -> None:
        self.over = Event()
        self.socket: socket.socket | None = None
        self._timer = Timer(seconds, self._hang_up)
        self._timer.daemon = True

    def __enter__(self) -> Deadline:
        self._timer.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._timer.cancel()

    def _hang_up(self) -> None:
        self.over.set()
        if self.socket is not None:
            with suppress(OSError):
                self.socket.shutdown(socket.SHUT_RDWR)
