"""Time stamps by RFC 3161 from an authority that the venue chose. Pure of Django.

Asked over plain HTTP as RFC 3161, 3.4 has it: the answer is signed, so the way it comes does not
matter. The library's own client would bring another one into the house for one POST.
"""

from __future__ import annotations

import asyncio
import hashlib
from urllib.error import URLError
from urllib.parse import urlsplit
from urllib.request import Request, urlopen

from asn1crypto import tsp, x509
from asn1crypto.crl import CertificateList
from pyhanko.sign.timestamps import TimeStamper

SECONDS = 20
LARGEST_ANSWER = 1 << 20


class NotStamped(RuntimeError):
    """The authority gave no time stamp; nothing was sealed."""


class Authority(TimeStamper):
    """A time-stamp authority, by its address; `root`: what its certificates lead to, where known."""

    def __init__(self, address: str, root: x509.Certificate | None = None) -> None:
        super().__init__()
        self.address, self.root = address, root
        self._lists: list[bytes] | None = None

    def revocation_lists(self) -> list[bytes]:
        """Those that the authority's own certificates name, as they are now. One that cannot be had
        stops no sealing: the file then carries one list less."""
        if self._lists is None:
            token = asyncio.run(self.async_dummy_response("sha256"))
            certificates = [each.chosen for each in token["content"]["certificates"]]
            found = [_fetched(where) for each in certificates for where in _addresses(each)]
            self._lists = [content for content in found if content]
        return self._lists

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


def _addresses(certificate: x509.Certificate) -> list[str]:
    """Where its issuer's revocation list is, over HTTP."""
    points = certificate.crl_distribution_points
    named = [name.native for point in points for name in point["distribution_point"].chosen]
    return [where for where in named if urlsplit(str(where)).scheme in ("http", "https")]


def _fetched(where: str) -> bytes:
    """In DER; nothing where it cannot be had or is no list."""
    try:
        with urlopen(where, timeout=SECONDS) as answer:  # nosec B310
            content: bytes = answer.read(LARGEST_ANSWER)
        CertificateList.load(content, strict=True).native  # noqa: B018
    except (URLError, OSError, ValueError, TypeError):
        return b""
    return content


def token_over(content: bytes, authority: Authority) -> bytes:
    """A time-stamp token (RFC 3161, 2.4.2) over the SHA-256 of the bytes, in DER. Raises NotStamped."""
    digest = hashlib.sha256(content).digest()
    try:
        token = asyncio.run(authority.async_timestamp(digest, "sha256"))
    except OSError as fault:
        raise NotStamped(f"The time-stamp authority's answer was not accepted: {fault}") from fault
    return bytes(token.dump())
