"""A signed-in visitor on one kept-open connection, who adds next to no time of its own."""

from __future__ import annotations

import http.client
import time
from collections.abc import Mapping
from dataclasses import dataclass
from http.cookies import SimpleCookie
from urllib.parse import urlencode

FORM = "application/x-www-form-urlencoded"


class UnexpectedAnswer(RuntimeError):
    """A page answered otherwise than the measurement needs; no number is made of it."""


@dataclass(frozen=True)
class Reply:
    status: int
    location: str
    text: str
    milliseconds: float


class Visitor:
    """Keeps cookies, sends the form token with every post, times each whole answer."""

    def __init__(self, port: int, email: str, password: str) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self.cookies: dict[str, str] = {}
        self.get("/account/login/")
        self.post("/account/login/", {"login": email, "password": password})
        if "session" not in self.cookies:
            raise UnexpectedAnswer("The demo sign-in was refused.")

    def get(self, path: str) -> Reply:
        return self._expect(200, "GET", path, None)

    def post(self, path: str, fields: Mapping[str, str]) -> Reply:
        token = {"csrfmiddlewaretoken": self.cookies.get("csrf", "")}
        return self._expect(302, "POST", path, urlencode({**token, **fields}))

    def _expect(self, status: int, method: str, path: str, body: str | None) -> Reply:
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if body is not None:
            headers["Content-Type"] = FORM
        began = time.perf_counter()
        self.connection.request(method, path, body, headers)
        answer = self.connection.getresponse()
        text = answer.read()
        took = (time.perf_counter() - began) * 1000
        if answer.status != status:
            raise UnexpectedAnswer(f"{method} {path} answered {answer.status}, not {status}.")
        for line in answer.headers.get_all("Set-Cookie") or []:
            self.cookies.update({name: one.value for name, one in SimpleCookie(line).items()})
        return Reply(answer.status, answer.headers.get("Location", ""), text.decode(), took)
