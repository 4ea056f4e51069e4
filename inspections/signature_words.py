"""What is said of the signature of a check, on its page, in its report and in the bundle. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

MEANS = (
    "A passkey's signature shows that a device which holds the person's passkey confirmed exactly "
    "the bytes of this check as the phone sent them; one changed byte and it no longer holds. "
    "Anybody can verify it from the evidence bundle, without this book."
)
MEANS_NOT = (
    "Whose the passkey is, is known from this venue's book alone, and the time is the clock of its "
    "server. It is not offered as an “advanced” or “qualified” electronic signature in the sense "
    "of any law, and it does not say that the signer was competent or the check right. Whether it "
    "is enough for a duty is for local law and competent advisers to say."
)
PASSWORD_MEANS = (
    "A password shows only that this book's server saw the right one typed for this check. No key "
    "signed anything, so nobody outside can verify it."
)


@dataclass(frozen=True)
class Said:
    """One line: what it comes to, and the rest of it."""

    head: str
    more: str

    def __str__(self) -> str:
        return f"{self.head} {self.more}"


def passkey_words(name: str, passkey: str, asked: bool, arrived: datetime, sha256: str) -> Said:
    """`asked`: the device said that it had asked who it was."""
    who = (
        "The device asked who it was (by PIN, finger or face)."
        if asked
        else "The device did not say that it asked who it was."
    )
    return Said(
        f"Signed with the passkey “{passkey}” of {name}.",
        f"Arrived {moment(arrived)}. {who} SHA-256 of what was signed, the check as the phone sent "
        f"it: {sha256}",
    )


def password_words(name: str, at: datetime) -> Said:
    return Said(
        f"Confirmed by {name} with the password, {moment(at)}.",
        "No key signed it: only this book says so.",
    )


def unsigned_words(name: str, by_phone: bool) -> Said:
    how = "was sent from a phone" if by_phone else "was filled in on this book's own pages"
    return Said("Nobody has signed this check.", f"It {how} under the sign-in of {name}.")


def refused_words(why: str, at: datetime) -> Said:
    head = "What came as a signature does not hold and was kept aside."
    return Said(head, f"{moment(at)}: {why}")


def moment(at: datetime) -> str:
    return f"{at:%-d %b %Y, %H:%M} UTC"
