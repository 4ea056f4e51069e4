"""The line between phone and server, which can be cut, hung, slowed or made to swallow replies."""

from __future__ import annotations

import contextlib
import random
import socket
import threading
import time

WAYS = ("through", "refuse", "hang", "cut", "swallow", "slow")


class Line:
    """Listens on a port of its own and passes on, as well as `way` lets it."""

    def __init__(self, to_port: int, seed: int) -> None:
        self.to_port = to_port
        self.way = "through"
        self.chance = random.Random(seed)
        self.listener = socket.create_server(("127.0.0.1", 0), backlog=64)
        self.port = self.listener.getsockname()[1]
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        while True:
            try:
                phone, _ = self.listener.accept()
            except OSError:
                return
            threading.Thread(target=self._carry, args=(phone, self.way), daemon=True).start()

    def _carry(self, phone: socket.socket, way: str) -> None:
        try:
            if way == "refuse":
                return
            if way == "hang":
                time.sleep(25)
                return
            with socket.create_connection(("127.0.0.1", self.to_port), timeout=5) as server:
                self._both_ways(phone, server, way)
        except OSError:
            pass
        finally:
            phone.close()

    def _both_ways(self, phone: socket.socket, server: socket.socket, way: str) -> None:
        server.settimeout(None)
        limit = self.chance.randrange(200, 6000) if way == "cut" else None
        up = threading.Thread(target=self._pass, args=(phone, server, way, limit), daemon=True)
        up.start()
        self._pass(server, phone, "swallow" if way == "swallow" else "through", None)

    def _pass(self, one: socket.socket, other: socket.socket, way: str, limit: int | None) -> None:
        carried = 0
        try:
            while chunk := one.recv(4096):
                # A line that was broken meanwhile breaks what is under way, too.
                if self.way in ("refuse", "hang") or way == "swallow":
                    break
                if way == "slow" or self.way == "slow":
                    time.sleep(self.chance.random() * 0.3)
                if limit is not None and carried + len(chunk) > limit:
                    other.sendall(chunk[: max(0, limit - carried)])
                    break
                other.sendall(chunk)
                carried += len(chunk)
        except OSError:
            pass
        finally:
            for end in (one, other):
                with contextlib.suppress(OSError):
                    end.shutdown(socket.SHUT_RDWR)
