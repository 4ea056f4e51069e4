"""Somebody on loopback who begins a TLS handshake and never ends it, a byte at a time."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Event, Thread

SECONDS = 90  # then it goes by itself, which is longer than any test of it lasts
BEGUN = b"\x16\x03\x03\x40\x00\x02\x00\x3f\xfc"  # a record of 16 KiB with a ServerHello


@contextmanager
def dripping_handshake() -> Iterator[int]:
    """Its port."""
    ended = Event()
    with socket.create_server(("127.0.0.1", 0)) as server:
        thread = Thread(target=_drip, args=(server, ended), daemon=True)
        thread.start()
        try:
            yield server.getsockname()[1]
        finally:
            ended.set()
            thread.join(5)


def _drip(server: socket.socket, ended: Event) -> None:
    server.settimeout(5)
    with suppress(OSError), server.accept()[0] as talk:
        talk.sendall(BEGUN)
        for _ in range(SECONDS * 10):
            if ended.wait(0.1):
                return
            talk.sendall(b"x")
