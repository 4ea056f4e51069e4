"""What kind of address it is that somebody tells Loftbook to ask. Pure."""

from __future__ import annotations

import ipaddress

Address = ipaddress.IPv4Address | ipaddress.IPv6Address

OPEN_INTERNET = ipaddress.ip_network("2000::/3")  # RFC 4291, 2.4: what is given out so far
NAT64 = ipaddress.ip_network("64:ff9b::/96")  # RFC 6052
# Each has an IPv4 address in its last four bytes: mapped, compatible (both RFC 4291), translated
# (RFC 7915), and the two of NAT64 (RFC 6052, RFC 8215).
CARRYING = (
    ipaddress.ip_network("::ffff:0:0/96"), ipaddress.ip_network("::/96"),
    ipaddress.ip_network("::ffff:0:0:0/96"), NAT64, ipaddress.ip_network("64:ff9b:1::/48"),
)  # fmt: skip


def is_own_machine(text: str) -> bool:
    """Whether an address is this machine's own, or one that only machines near it have.

    >>> [is_own_machine(one) for one in ("127.0.0.1", "::1", "169.254.1.1", "::ffff:127.0.0.1")]
    [True, True, True, True]
    >>> [is_own_machine(one) for one in ("64:ff9b::7f00:1", "::ffff:0:169.254.169.254", "::", "ff02::1")]
    [True, True, True, True]
    >>> [is_own_machine(one) for one in ("192.168.1.20", "198.51.100.7", "fd00::1")]
    [False, False, False]
    """
    address = _read(text)
    return any(
        one.is_loopback or one.is_link_local or one.is_multicast or one.is_unspecified
        for one in (address, _carried(address))
    )


def is_inside(text: str) -> bool:
    """Whether an address is not one of the open Internet (the registries of RFC 6890). Of version 6
    only what is given out counts as such; what carries an address of version 4 is judged by that.

    >>> [is_inside(one) for one in ("127.0.0.1", "10.0.0.5", "192.168.1.20", "fd00::1", "::1")]
    [True, True, True, True, True]
    >>> [is_inside(one) for one in ("::ffff:10.0.0.5", "64:ff9b::a00:5", "2002:a00:5::", "100.64.0.1")]
    [True, True, True, True]
    >>> [is_inside(one) for one in ("64:ff9b:1::a00:5", "fec0::1", "::a00:5", "::ffff:0:10.0.0.5")]
    [True, True, True, True]
    >>> is_inside("9.9.9.9"), is_inside("2620:fe::fe"), is_inside("64:ff9b::909:909")
    (False, False, False)
    """
    if is_own_machine(text):
        return True
    address = _read(text)
    if isinstance(address, ipaddress.IPv6Address) and (address.ipv4_mapped or address in NAT64):
        address = _carried(address)
    if isinstance(address, ipaddress.IPv4Address):
        return not address.is_global
    # Tunnels of old lie in it, through which no service is reached.
    tunnel = address.sixtofour or address.teredo
    return address not in OPEN_INTERNET or bool(tunnel) or not address.is_global


def _read(text: str) -> Address:
    return ipaddress.ip_address(text.split("%")[0])


def _carried(address: Address) -> Address:
    if any(address in each for each in CARRYING):
        return ipaddress.IPv4Address(int(address) & 0xFFFF_FFFF)
    return address
