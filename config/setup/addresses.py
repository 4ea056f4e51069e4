"""Which port is free and under which address phones in the house reach this machine."""

import socket
from collections.abc import Mapping
from urllib.parse import urlsplit

from config.setup.speech import refuse

FIRST_PORT = 8000
PORTS_TRIED = 20


def is_free(port: int) -> bool:
    """Whether the web server could listen on a port."""
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            # Phones must reach it.
            trial.bind(("0.0.0.0", port))
        except OSError:
            return False
    return True


def choose_port(environ: Mapping[str, str]) -> int:
    """The port asked for in PORT, or else the first free one from 8000."""
    asked = environ.get("PORT", "").strip()
    if asked:
        if not asked.isdigit() or not 0 < int(asked) < 65536:
            refuse(f"PORT must be a number from 1 to 65535, not {asked!r}.")
        if not is_free(int(asked)):
            refuse(f"Port {asked} is taken or not allowed. Try another: make run PORT=8080")
        return int(asked)
    last = FIRST_PORT + PORTS_TRIED - 1
    free = next((port for port in range(FIRST_PORT, last + 1) if is_free(port)), None)
    if free is None:
        refuse(f"Ports {FIRST_PORT} to {last} are all taken. Name one: make run PORT=9000")
    return free


def house_address() -> str:
    """This machine's own address in the house, or localhost where there is no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as route:
        try:
            # Nothing is sent: connecting a datagram socket only asks which way it would go.
            # 192.0.2.1 is set aside for documentation (RFC 5737) and belongs to nobody.
            route.connect(("192.0.2.1", 9))
        except OSError:
            return "localhost"
        address: str = route.getsockname()[0]
    return address


def public_address(configured: str, port: int, scheme: str = "http") -> str:
    """The address that links and labels carry: a configured one, or this machine's own."""
    if urlsplit(configured).hostname in ("localhost", "127.0.0.1"):
        return f"{scheme}://{house_address()}:{port}"
    return configured
