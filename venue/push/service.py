"""Hand one encrypted message to the service that a browser named (RFC 8030, section 5)."""

from __future__ import annotations

import ssl
from collections.abc import Mapping
from contextlib import closing
from datetime import datetime, timedelta
from email.utils import parsedate_to_datetime
from http.client import HTTPException, HTTPSConnection
from urllib.parse import SplitResult, quote, urlsplit

from venue.deadline import Deadline
from venue.push.outside import NotOutside, connected

SECONDS_TO_CONNECT = 6
SECONDS_IN_ALL = 12
LONGEST = 1_000  # of an address; those of today have about 200 characters
TAKEN = (200, 201, 202, 204)  # 201 by RFC 8030; no service is asked again that took it otherwise
GONE = (404, 410)
TOO_LATE = "It did not answer in time."
LONGEST_WAIT = timedelta(hours=6)


class Gone(Exception):
    """The subscription is no more: the browser was told to forget it, or forgot it by itself."""


class NotNow(Exception):
    """Try again later; `wait`: how long the service asked for. `silent`: nobody answered at all."""

    def __init__(self, words: str, wait: timedelta | None = None, *, silent: bool = False) -> None:
        super().__init__(words)
        self.wait, self.silent = wait, silent


class Refused(Exception):
    """The service will not take it, and another attempt would change nothing soon."""


def proper_endpoint(text: str) -> SplitResult:
    """Raises ValueError for what can be no address of a push service. Where it leads is looked at
    when it is asked, not here: a name may lead elsewhere tomorrow.

    >>> proper_endpoint("https://push.example.net/send/x").hostname
    'push.example.net'
    """
    parts = urlsplit(text)
    proper = (
        len(text) <= LONGEST
        and text.isascii()
        and all(ord(sign) > 32 for sign in text)
        and parts.scheme == "https"
        and parts.hostname
        and parts.port in (None, 443)
        and parts.username is None
        and parts.password is None
        and not parts.fragment
    )
    if not proper:
        raise ValueError("This is no address of a push service.")
    return parts


def hand_to_service(
    endpoint: str,
    body: bytes,
    headers: Mapping[str, str],
    at: datetime,
    *,
    seconds: float = SECONDS_IN_ALL,
) -> None:
    """Taken, or raises Gone, NotNow, Refused. Never follows to another address, never reads an answer."""
    with Deadline(seconds) as deadline:
        try:
            status, later = _ask(endpoint, body, headers, deadline)
        except (OSError, HTTPException) as fault:
            # First, since what is wrong with a certificate is also a ValueError.
            raise NotNow(_why(fault, over=deadline.over.is_set()), silent=True) from fault
        except (NotOutside, ValueError) as fault:
            raise Refused(str(fault)) from fault
    if deadline.over.is_set():  # hung up in the middle of an answer
        raise NotNow(TOO_LATE, silent=True)
    _judge(status, later, at)


def _ask(
    endpoint: str, body: bytes, headers: Mapping[str, str], deadline: Deadline
) -> tuple[int, str]:
    parts = proper_endpoint(endpoint)
    host, port = parts.hostname or "", parts.port or 443
    with closing(HTTPSConnection(host, port, timeout=SECONDS_TO_CONNECT)) as connection:
        connection.sock = connected(host, port, SECONDS_TO_CONNECT, deadline)
        path = quote(parts.path or "/", safe="/%:@!$&'()*+,;=~-._")
        query = f"?{parts.query}" if parts.query else ""
        connection.request("POST", path + query, body=body, headers=dict(headers))
        with closing(connection.getresponse()) as answer:
            return answer.status, answer.getheader("Retry-After", "") or ""


def _judge(status: int, later: str, at: datetime) -> None:
    if status in TAKEN:
        return
    if status in GONE:
        raise Gone
    if status == 429 or status >= 500:
        raise NotNow(f"It answered {status}.", wait_of(later, at))
    raise Refused(f"It answered {status}.")


def wait_of(told: str, at: datetime) -> timedelta | None:
    """How long the header Retry-After asks to wait (RFC 9110, 10.2.3): seconds or a moment; none where
    it says nothing that can be read. Six hours at most: a message of this morning is of no use tomorrow.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 11, 26, 12, tzinfo=UTC)
    >>> wait_of("120", noon), wait_of("Thu, 26 Nov 2026 12:30:00 GMT", noon), wait_of("soon", noon)
    (datetime.timedelta(seconds=120), datetime.timedelta(seconds=1800), None)
    """
    if told.isascii() and told.isdecimal():
        return min(timedelta(seconds=int(told[:9])), LONGEST_WAIT)
    try:
        moment = parsedate_to_datetime(told)
        wait = moment - at
    except (TypeError, ValueError, OverflowError):  # unreadable, without a zone, or of no year
        return None
    return min(max(wait, timedelta()), LONGEST_WAIT)


def _why(fault: Exception, *, over: bool) -> str:
    if over or isinstance(fault, TimeoutError):
        return TOO_LATE
    if isinstance(fault, ssl.SSLCertVerificationError):
        return "Its certificate cannot be trusted."
    return f"It cannot be reached ({type(fault).__name__})."
