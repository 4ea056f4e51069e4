"""What is encrypted is what RFC 8291 prints, and what a browser reads."""

from __future__ import annotations

import os

import pytest
from cryptography.hazmat.primitives.asymmetric import ec

from tests.push_service import Browser
from venue.push.encryption import MOST, NoReceiver, encrypted, receiver_of
from venue.push.letters import read, written

# RFC 8291, November 2017, section 5 and appendix A.
PLAIN = b"When I grow up, I want to be a watermelon"
BROWSER = {
    "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
    "auth": "BTBZMqHH6r4Tts7J_aSIgg",
}
BROWSERS_PRIVATE = "q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94"
SENDERS_PRIVATE = "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw"
SALT = "DGv6ra1nlYgDCS1FRnbzlw"
BODY = (
    "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6Tlz"
    "AC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"
)


def private(text: str) -> ec.EllipticCurvePrivateKey:
    return ec.derive_private_key(int.from_bytes(read(text), "big"), ec.SECP256R1())


@pytest.mark.external("printed")
def test_the_printed_example_is_made_to_the_byte() -> None:
    made = encrypted(
        PLAIN, receiver_of(**BROWSER), own=private(SENDERS_PRIVATE), salt=read(SALT)
    )  # fmt: skip
    assert written(made) == BODY, "RFC 8291, section 5"


@pytest.mark.external("printed")
def test_the_reader_of_these_tests_reads_the_printed_example() -> None:
    browser = Browser("x", private(BROWSERS_PRIVATE), read(BROWSER["auth"]))
    assert browser.given["p256dh"] == BROWSER["p256dh"]
    assert browser.reads(read(BODY)) == PLAIN


@pytest.mark.external("independent program")
@pytest.mark.parametrize("length", [0, 1, 15, 16, 17, 300, MOST])
def test_a_browser_reads_words_of_any_length_and_another_does_not(length: int) -> None:
    browser, plain = Browser("x"), os.urandom(length)
    given = {name: browser.given[name] for name in ("p256dh", "auth")}
    body = encrypted(plain, receiver_of(**given))
    assert browser.reads(body) == plain
    assert len(body) == 86 + length + 17 <= 4096
    with pytest.raises(Exception, match=r".*"):
        Browser("y").reads(body)


def test_the_same_words_are_never_sent_as_the_same_bytes() -> None:
    receiver = receiver_of(**BROWSER)
    bodies = {encrypted(PLAIN, receiver) for _ in range(5)}
    assert len({body[:16] for body in bodies}) == len({body[21:86] for body in bodies}) == 5


def test_more_than_a_service_must_take_is_refused() -> None:
    with pytest.raises(ValueError, match="3994 bytes are more than the 3993"):
        encrypted(b"x" * (MOST + 1), receiver_of(**BROWSER))


@pytest.mark.parametrize(
    "changed",
    [
        {"p256dh": ""}, {"auth": ""}, {"auth": "BTBZMqHH6r4Tts7J_aSI"}, {"p256dh": BROWSER["p256dh"][:-4]},
        {"p256dh": "A" + BROWSER["p256dh"][1:]}, {"p256dh": BROWSER["p256dh"][:-3] + "AAA"},
        {"auth": "BTBZMqHH6r4Tts7J/aSIgg"}, {"p256dh": "é" * 87}, {"auth": BROWSER["auth"] + "\n"},
    ],
)  # fmt: skip
def test_what_no_browser_can_have_given_is_refused(changed: dict[str, str]) -> None:
    with pytest.raises(NoReceiver):
        receiver_of(**{**BROWSER, **changed})
