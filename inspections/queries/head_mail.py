"""What the mail says that takes a signed head out of the house."""

from __future__ import annotations

from inspections.models import HeadReceiver, SignedHead
from inspections.queries.seals import roots_of
from venue.models import Venue
from venue.queries.log_proofs import consistency_path

MAIL = """Head {number} of the inspection log of {venue}

size  {size}
root  {root}
time  {at}

Keep this mail. It is of use to you only as long as somebody other than the venue keeps it: with
these two figures you can tell later whether a log line was changed, put in or taken out. They say
nothing about what the lines say.

How to check it. The head is attached as {name}, with its signature. With the venue's root
certificate, whose fingerprint you have from the venue by another way:

    openssl cms -verify -binary -inform DER -in {name}.p7s -content {name} -CAfile root-certificate.pem -out /dev/null

With a later evidence bundle of the venue, in its folder:

    python3 -I verify_log.py --kept {size} {root}

SHA-256 of {name}: {sha256}
{since}{new_root}"""
NEW_ROOT = """
The venue has a new root certificate. Its SHA-256 fingerprint is

    {new}

and the root before it ({old}) signed that. Where you have that one as {before}, compare its
fingerprint with what you were told, and follow:

    openssl x509 -in {before} -noout -fingerprint -sha256
    openssl cms -verify -binary -purpose any -nointern -certfile {before} \\
        -inform DER -in {statement}.p7s -content {statement} -CAfile {before} -out /dev/null
    openssl x509 -in {after} -noout -fingerprint -sha256

The last must be the new_root_sha256 of {statement}. From then on {after} is your root-certificate.pem.
"""
PROOF = """
Since head {number} ({size} lines), which you were sent on {day}, the log has grown. That it still
begins with all of those lines is proven by these hashes (RFC 9162, 2.1.4):

{path}
"""


def head_mail(head: SignedHead, receiver: HeadReceiver) -> tuple[str, str]:
    """Subject and text. One walk through the log for the proof."""
    words = MAIL.format(
        number=head.number, venue=head.venue.name, size=head.size, root=head.root,
        at=head.at.isoformat(timespec="seconds"), name=f"head-{head.number}.json",
        sha256=head.sha256, since=_proof(head, receiver), new_root=_new_root(head.venue),
    )  # fmt: skip
    subject = f"{head.venue.name}: log head {head.number}, {head.size} lines"
    return " ".join(subject.split()), words


def new_root_files(venue: Venue) -> list[tuple[str, bytes]]:
    """What goes with the mail where a root was told across: both roots, and what the old one signed."""
    roots = roots_of(venue)[-2:]
    return [file for each in roots for file in each.files()] if len(roots) == 2 else []


def _new_root(venue: Venue) -> str:
    roots = roots_of(venue)[-2:]
    if len(roots) < 2:
        return ""
    old, new = roots
    return NEW_ROOT.format(
        old=old.sha256, new=new.sha256, before=f"root-{old.number}.pem",
        after=f"root-{new.number}.pem", statement=f"new-root-{new.number}.json",
    )  # fmt: skip


def _proof(head: SignedHead, receiver: HeadReceiver) -> str:
    last = receiver.sendings.select_related("head").order_by("-pk").first()
    if last is None or not 0 < last.head.size <= head.size:
        return ""
    path = consistency_path(head.venue, last.head.size, head.size)
    return PROOF.format(
        number=last.head.number, size=last.head.size, day=f"{last.at:%Y-%m-%d}",
        path="\n".join(path) or "(none: no line has been added)",
    )  # fmt: skip
