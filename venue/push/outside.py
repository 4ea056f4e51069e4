"""A connection to an address on the open Internet, and to no other: an endpoint is told by a
browser, so whoever sends us one must not make Loftbook ask a machine inside the house.

The name is looked up once, each address is looked at before a single packet goes to it, and the
connection is made to that address, so a name that answers differently the second time gains nothing.
"""

from __future__ import annotations

import ipaddress
import socket
import ssl

from venue.calendar_address import is_own_machine
from venue.deadline import Deadline

NAT64 = ipaddress.ip_network("64:ff9b::/96")  # RFC 6052: an IPv4 address in its last four bytes


class NotOutside(Exception):
    """It leads to this machine, or into a network that is nobody else's to reach."""


def is_inside(text: str) -> bool:
    """Whether an address is not one of the open Internet (the registries of RFC 6890).

    >>> [is_inside(one) for one in ("127.0.0.1", "10.0.0.5", "192.168.1.20", "fd00::1", "::1")]
    [True, True, True, True, True]
    >>> [is_inside(one) for one in ("::ffff:10.0.0.5", "64:ff9b::a00:5", "2002:a00:5::", "100.64.0.1")]
    [True, True, True, True]
    >>> is_inside("9.9.9.9"), is_inside("2620:fe::fe"), is_inside("64:ff9b::909:909")
    (False, False, False)
    """
    if is_own_machine(text):
        return True
    address = ipaddress.ip_address(text.split("%")[0])
    if isinstance(address, ipaddress.IPv6Address):
        if address.sixtofour or address.teredo:
            return True  # tunnels of old, through which no service is reached
        if address in NAT64:
            address = ipaddress.IPv4Address(int(address) & 0xFFFF_FFFF)
        else:
            address = address.ipv4_mapped or address
    return not address.is_global


def connected(host: str, port: int, seconds: float, deadline: Deadline) -> ssl.SSLSocket:
    """Raises NotOutside, OSError."""
    plain = socket.create_connection(looked_up(host, port), timeout=seconds)
    deadline.socket = plain
    try:
        secure = trusted().wrap_socket(plain, server_hostname=host)
    except BaseException:
        plain.close()
        raise
    deadline.socket = secure
    return secure


def looked_up(host: str, port: int) -> tuple[str, int]:
    """The address of a name and its port. Raises NotOutside where any of its addresses is inside."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    addresses = [str(where[0]) for *_, where in found]
    if any(map(is_inside, addresses)):
        raise NotOutside("It leads into a network of the house, so it is not asked.")
    return addresses[0], port


def trusted() -> ssl.SSLContext:
    return ssl.create_default_context()
