"""What the mail says that takes a signed head out of the house."""

from __future__ import annotations

from inspections.models import HeadReceiver, SignedHead
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
{since}"""
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
        sha256=head.sha256, since=_proof(head, receiver),
    )  # fmt: skip
    subject = f"{head.venue.name}: log head {head.number}, {head.size} lines"
    return " ".join(subject.split()), words


def _proof(head: SignedHead, receiver: HeadReceiver) -> str:
    last = receiver.sendings.select_related("head").order_by("-pk").first()
    if last is None or not 0 < last.head.size <= head.size:
        return ""
    path = consistency_path(head.venue, last.head.size, head.size)
    return PROOF.format(
        number=last.head.number, size=last.head.size, day=f"{last.at:%Y-%m-%d}",
        path="\n".join(path) or "(none: no line has been added)",
    )  # fmt: skip
