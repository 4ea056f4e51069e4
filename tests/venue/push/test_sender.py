"""The signed word that goes with a message, as a library that did not make it reads it (RFC 8292)."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from urllib.parse import urlsplit

import jwt
import pytest
from cryptography.hazmat.primitives.asymmetric import ec

from tests.push_service import CONTACT, HOST, KEY
from venue.push.letters import read, written
from venue.push.sender import Sender

AT = datetime(2026, 2, 12, 7, 5, tzinfo=UTC)
SENDER = Sender(KEY, CONTACT)
PARTS = re.compile(r"vapid t=([\w-]+\.[\w-]+\.[\w-]{86}), k=([\w-]{87})")


def parts_of(endpoint: str, sender: Sender = SENDER) -> tuple[str, str]:
    found = PARTS.fullmatch(sender.word_for(endpoint, AT))
    assert found
    return found[1], found[2]


def key_of(k: str) -> ec.EllipticCurvePublicKey:
    return ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), read(k))


@pytest.mark.external("independent program")
def test_another_library_finds_who_sends_to_whom_and_for_how_long() -> None:
    token, k = parts_of(f"https://{HOST}/send/tam?x=1")
    assert k == SENDER.public
    assert jwt.get_unverified_header(token) == {"typ": "JWT", "alg": "ES256"}
    claims = jwt.decode(
        token, key_of(k), algorithms=["ES256"], audience=f"https://{HOST}",
        options={"require": ["aud", "exp", "sub"], "verify_exp": False},
    )  # fmt: skip
    until = datetime.fromtimestamp(claims["exp"], UTC)
    assert AT < until <= AT + timedelta(hours=24), "RFC 8292, section 2"
    assert claims["sub"] == f"mailto:{CONTACT}"
    assert set(claims) == {"aud", "exp", "sub"}


@pytest.mark.external("independent program")
def test_a_word_of_another_key_or_for_another_service_does_not_hold() -> None:
    token, k = parts_of(f"https://{HOST}/send/tam")
    loose = {"algorithms": ["ES256"], "options": {"verify_exp": False}}
    with pytest.raises(jwt.InvalidAudienceError):
        jwt.decode(token, key_of(k), audience="https://other.example.net", **loose)
    other = Sender(written(bytes(range(2, 34))), CONTACT)
    with pytest.raises(jwt.InvalidSignatureError):
        jwt.decode(token, key_of(other.public), audience=f"https://{HOST}", **loose)


@pytest.mark.parametrize("seen", range(1, 200, 7))
def test_both_numbers_of_a_signature_have_32_bytes_also_where_one_is_small(seen: int) -> None:
    token, _ = parts_of(f"https://{HOST}/{seen}")
    assert len(read(token.split(".")[2])) == 64


def test_the_private_key_is_in_no_printed_sender() -> None:
    assert KEY not in repr(SENDER)
    assert CONTACT in repr(SENDER)


def test_who_is_meant_is_the_service_and_not_the_device() -> None:
    token, _ = parts_of("https://Push.Example.Net/send/secret")
    aud = jwt.decode(token, options={"verify_signature": False})["aud"]
    assert aud == "https://push.example.net"
    assert urlsplit(aud).path == ""
