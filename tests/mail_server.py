"""A mail server on loopback that speaks enough SMTP (RFC 5321) for a client to hand it mail."""

from __future__ import annotations

import socketserver
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage
from threading import Thread
from typing import Any


class MailServer(socketserver.ThreadingTCPServer):
    """What it was handed is in `taken`: to whom, and the message."""

    allow_reuse_address = True
    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Talk)
        self.taken: list[tuple[list[str], EmailMessage]] = []
        self.refused: set[str] = set()  # addresses it knows nothing of

    @property
    def port(self) -> int:
        return int(self.server_address[1])


class _Talk(socketserver.StreamRequestHandler):
    server: MailServer

    def handle(self) -> None:
        to: list[str] = []
        self.say("220 loopback")
        while line := self.rfile.readline().decode().strip():
            word = line.split(" ")[0].upper()
            if word == "QUIT":
                return self.say("221 bye")
            if word == "RCPT":
                address = line[line.index("<") + 1 : line.rindex(">")]
                if address in self.server.refused:
                    self.say("550 no such mailbox")
                    continue
                to.append(address)
            if word == "DATA":
                self.say("354 go on")
                self.take(to)
                to = []
            known = word in {"EHLO", "HELO", "MAIL", "RCPT", "DATA", "RSET", "NOOP"}
            self.say("250 OK" if known else "502 unknown")
        return None

    def take(self, to: list[str]) -> None:
        lines = []
        while (line := self.rfile.readline()) != b".\r\n":
            lines.append(line[1:] if line.startswith(b"..") else line)
        message: Any = message_from_bytes(b"".join(lines), policy=policy.default)
        self.server.taken.append((to, message))

    def say(self, words: str) -> None:
        self.wfile.write(f"{words}\r\n".encode())


@contextmanager
def mail_server() -> Iterator[MailServer]:
    with MailServer() as server:
        thread = Thread(target=server.serve_forever, daemon=True)
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
            thread.join(5)
