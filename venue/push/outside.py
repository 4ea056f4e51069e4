"""A connection to an address on the open Internet, and to no other: an endpoint is told by a
browser, so whoever sends us one must not make Loftbook ask a machine inside the house.

The name is looked up once, each address is looked at before a single packet goes to it, and the
connection is made to that address, so a name that answers differently the second time gains nothing.
"""

from __future__ import annotations

import socket
import ssl

from venue.deadline import Deadline, secured
from venue.network_address import is_inside


class NotOutside(Exception):
    """It leads to this machine, or into a network that is nobody else's to reach."""


def connected(host: str, port: int, seconds: float, deadline: Deadline) -> ssl.SSLSocket:
    """Raises NotOutside, OSError."""
    plain = socket.create_connection(looked_up(host, port), timeout=seconds)
    return secured(plain, trusted(), host, deadline)


def looked_up(host: str, port: int) -> tuple[str, int]:
    """The address of a name and its port. Raises NotOutside where any of its addresses is inside."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    addresses = [str(where[0]) for *_, where in found]
    if any(map(is_inside, addresses)):
        raise NotOutside("It leads into a network of the house, so it is not asked.")
    return addresses[0], port


def trusted() -> ssl.SSLContext:
    return ssl.create_default_context()
