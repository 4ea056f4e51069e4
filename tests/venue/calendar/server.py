"""A web server on this machine that answers as badly as is asked of it."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from tests.venue.calendar.files import calendar_file, event

WHOLE = calendar_file(event("DTSTART:20270701T180000Z", "DURATION:PT1H"))


class _Handler(BaseHTTPRequestHandler):
    asked: list[str]
    content = WHOLE

    def do_GET(self) -> None:
        self.asked.append(self.path)
        what = self.path.split("?")[0].strip("/")
        if what.startswith("status-"):
            self.send_response(int(what[7:]))
            self.end_headers()
        elif what in MOVES:
            self.send_response(302)
            if MOVES[what]:
                self.send_header("Location", MOVES[what])
            self.end_headers()
        else:
            getattr(self, what.replace("-", "_").replace(".", "_"))()

    def _begin(self, length: int | None) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/calendar")
        if length is not None:
            self.send_header("Content-Length", str(length))
        self.end_headers()

    def house_ics(self) -> None:
        self._begin(len(self.content))
        self.wfile.write(self.content)

    def cut_off(self) -> None:
        self._begin(len(self.content))
        self.wfile.write(self.content[:50])

    def endless(self) -> None:
        self._begin(None)
        for _ in range(200):
            self.wfile.write(b"x" * 65536)

    def drip(self) -> None:
        self._begin(None)
        self._drip(b"B")

    def drip_head(self) -> None:
        self._drip(b"H")

    def _drip(self, byte: bytes) -> None:
        for _ in range(900):
            self.wfile.write(byte)
            self.wfile.flush()
            time.sleep(0.1)

    def nonsense(self) -> None:
        self.wfile.write(b"SSH-2.0-hello\r\n\r\n")

    def log_message(self, *_: object) -> None:
        """Silent."""

    def handle_one_request(self) -> None:
        try:
            super().handle_one_request()
        except OSError:
            self.close_connection = True


MOVES = {
    "moved": "/house.ics", "circle": "/circle", "to-file": "file:///etc/hostname", "nowhere": "",
    **{f"on-{n}": f"/on-{n + 1}" for n in range(9)},
}  # fmt: skip


@contextmanager
def calendar_server() -> Iterator[tuple[str, type[_Handler]]]:
    """The address, and the handler whose `content` is what it serves."""
    handler = type("Handler", (_Handler,), {"asked": [], "content": WHOLE})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, args=[0.05], daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/", handler
    finally:
        server.shutdown()
        server.server_close()
