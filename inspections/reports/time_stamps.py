"""Time stamps by RFC 3161 from an authority that the venue chose. Pure of Django.

Asked over plain HTTP as RFC 3161, 3.4 has it: the answer is signed, so the way it comes does not
matter. The library's own client would bring another one into the house for one POST.
"""

from __future__ import annotations

import asyncio
import hashlib
from urllib.error import URLError
from urllib.request import Request, urlopen

from asn1crypto import tsp
from pyhanko.sign.timestamps import TimeStamper

SECONDS = 20
LARGEST_ANSWER = 1 << 20


class NotStamped(RuntimeError):
    """The authority gave no time stamp; nothing was sealed."""


class Authority(TimeStamper):
    """A time-stamp authority, by its address."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address

    async def async_request_tsa_response(self, req: tsp.TimeStampReq) -> tsp.TimeStampResp:
        """Raises NotStamped."""
        asked = Request(
            self.address, data=req.dump(),
            headers={"Content-Type": "application/timestamp-query"},
        )  # fmt: skip
        try:
            with urlopen(asked, timeout=SECONDS) as answer:  # nosec B310
                content = answer.read(LARGEST_ANSWER)
        except (URLError, OSError) as fault:
            raise NotStamped(
                f"The time-stamp authority {self.address} did not answer ({fault}). Nothing was "
                "sealed; try again."
            ) from fault
        return self._read(content)

    def _read(self, content: bytes) -> tsp.TimeStampResp:
        try:
            said = tsp.TimeStampResp.load(content, strict=True)
            status = said["status"]["status"].native
        except (ValueError, TypeError) as fault:
            raise NotStamped(
                f"What {self.address} answered is no time stamp. Is it the right address?"
            ) from fault
        if status not in ("granted", "granted_with_mods"):
            raise NotStamped(f"The time-stamp authority {self.address} refused: {status}.")
        return said


def token_over(content: bytes, authority: Authority) -> bytes:
    """A time-stamp token (RFC 3161, 2.4.2) over the SHA-256 of the bytes, in DER. Raises NotStamped."""
    digest = hashlib.sha256(content).digest()
    try:
        token = asyncio.run(authority.async_timestamp(digest, "sha256"))
    except OSError as fault:
        raise NotStamped(f"The time-stamp authority's answer was not accepted: {fault}") from fault
    return bytes(token.dump())
