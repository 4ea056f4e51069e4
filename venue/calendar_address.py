"""Fetch a calendar from its address: http or https only, and never more time or bytes than said.

Loftbook asks from inside the house, so an address must not make it ask the machine it runs on, or
the addresses that machines in data centres tell their secrets at. The check is made on the
connection itself, after the name was looked up. What was answered is only ever read as a calendar.
"""

from __future__ import annotations

import socket
import ssl
from contextlib import closing
from http.client import HTTPConnection, HTTPException, HTTPResponse, HTTPSConnection
from urllib.parse import SplitResult, quote, urljoin, urlsplit

from venue.calendar.reading import MAX_BYTES
from venue.deadline import Deadline, secured
from venue.network_address import is_own_machine

SECONDS_IN_ALL = 30
SECONDS_TO_CONNECT = 8
MOST_REDIRECTS = 5
LONGEST = 2_000
REDIRECTS = (301, 302, 303, 307, 308)
CHUNK = 64 * 1024
HEADERS = {
    "User-Agent": "Loftbook (booking calendar)",
    "Accept": "text/calendar, */*;q=0.1",
    "Accept-Encoding": "identity",
}


class NotFetched(Exception):
    """The calendar did not come; the sentence says why."""


def proper_address(text: str) -> str:
    """The address as it is asked for. Raises NotFetched for one that never will be.

    >>> proper_address(" webcal://calendar.larkspur.example/house.ics ")
    'https://calendar.larkspur.example/house.ics'
    """
    text = text.strip()
    if text.lower().startswith("webcal://"):
        text = "https://" + text[len("webcal://") :]
    _checked(text)
    return text


def _checked(address: str) -> SplitResult:
    if len(address) > LONGEST:
        raise NotFetched(f"The address is longer than {LONGEST:,} characters.")
    try:
        parts = urlsplit(address)
        port = parts.port
    except ValueError as fault:
        raise NotFetched("The address cannot be read. Copy it again, whole.") from fault
    if parts.scheme not in ("http", "https"):
        raise NotFetched("The address must begin with https:// or http://.")
    if not parts.hostname or port == 0 or any(ord(sign) < 33 for sign in address):
        raise NotFetched("The address cannot be read. Copy it again, whole.")
    if parts.username is not None or parts.password is not None:
        raise NotFetched("An address with a name and password in it is not taken.")
    return parts


def fetch_calendar(address: str, *, seconds: float = SECONDS_IN_ALL) -> bytes:
    """The bytes of the calendar. Raises NotFetched."""
    with Deadline(seconds) as deadline:
        try:
            found = _followed(address, deadline)
        except (OSError, HTTPException) as fault:
            if not deadline.over.is_set():
                raise NotFetched(_why(fault)) from fault
    if deadline.over.is_set():
        raise NotFetched(f"The calendar did not come within {seconds:.0f} seconds.")
    return found


def _followed(address: str, deadline: Deadline) -> bytes:
    asked: set[str] = set()
    while address not in asked and len(asked) <= MOST_REDIRECTS:
        asked.add(address)
        found = _ask(address, deadline)
        if isinstance(found, bytes):
            return found
        address = found
    raise NotFetched("The address leads round in a circle, or on too often.")


def _ask(address: str, deadline: Deadline) -> bytes | str:
    """The calendar, or the address that it has moved to."""
    parts = _checked(address)
    with closing(_connected(parts, deadline)) as connection:
        path = quote(parts.path or "/", safe="/%:@!$&'()*+,;=~-._")
        query = "?" + quote(parts.query, safe="/%:@!$&'()*+,;=~-._?") if parts.query else ""
        connection.request("GET", path + query, headers=HEADERS)
        with closing(connection.getresponse()) as response:
            if response.status in REDIRECTS:
                return _moved_to(address, response)
            if response.status != 200:
                raise NotFetched(_refused(response.status))
            return _body(response)


def _connected(parts: SplitResult, deadline: Deadline) -> HTTPConnection:
    host = parts.hostname or ""
    try:
        name = host.encode("ascii").decode()
    except UnicodeError:
        name = host.encode("idna").decode()
    made = (HTTPSConnection if parts.scheme == "https" else HTTPConnection)(name, parts.port)
    made.sock = _plain(name, made.port)
    if parts.scheme == "https":
        made.sock = secured(made.sock, ssl.create_default_context(), name, deadline)
    else:
        deadline.socket = made.sock
    return made


def _plain(name: str, port: int) -> socket.socket:
    connected = socket.create_connection((name, port), timeout=SECONDS_TO_CONNECT)
    try:
        _refuse_own_machine(connected)
    except BaseException:
        connected.close()
        raise
    return connected


def _refuse_own_machine(connected: socket.socket) -> None:
    if is_own_machine(connected.getpeername()[0]):
        raise NotFetched("The address leads to the machine that Loftbook runs on; it is not asked.")


def _moved_to(address: str, response: HTTPResponse) -> str:
    where = response.getheader("Location", "")
    if not where:
        raise NotFetched("The address has moved and does not say where to.")
    moved = urljoin(address, where)
    if address.startswith("https:") and not moved.startswith("https:"):
        raise NotFetched("The address leads from https to an address that is not; it is not asked.")
    return moved


def _body(response: HTTPResponse) -> bytes:
    """Not a byte more than is read, whatever length the answer claims."""
    claimed = response.getheader("Content-Length", "")
    found = bytearray()
    while len(found) <= MAX_BYTES:
        chunk = response.read1(CHUNK)
        if not chunk:
            break
        found += chunk
    if len(found) > MAX_BYTES:
        raise NotFetched(f"The calendar has more than {MAX_BYTES // 1_000_000} MB.")
    if claimed.isdecimal() and len(found) != int(claimed):
        raise OSError("the answer was cut off")
    return bytes(found)


def _refused(status: int) -> str:
    words = {
        401: "It asks for a name and password. Ask for the calendar's own secret address.",
        403: "It may not be read from here. Ask for the calendar's own secret address.",
        404: "There is no calendar at this address any more.",
        410: "There is no calendar at this address any more.",
        429: "It was asked too often. Try again later.",
    }
    usual = "Try again later." if status >= 500 else "Look whether the address is right."
    return f"The answer was {status}. {words.get(status, usual)}"


def _why(fault: Exception) -> str:
    if isinstance(fault, ssl.SSLCertVerificationError):
        return "The address's certificate cannot be trusted, so it is not read."
    if isinstance(fault, socket.gaierror):
        return "There is no such address; look whether it is spelt right."
    if isinstance(fault, ConnectionRefusedError):
        return "Nobody answers at this address."
    if isinstance(fault, TimeoutError):
        return "The address does not answer in time. Try again later."
    return "The answer broke off or cannot be understood. Try again later."
