"""What the mail says that takes a signed head out of the house."""

from __future__ import annotations

from textwrap import fill

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import HeadReceiver, SignedHead
from inspections.queries.seals import roots_of
from venue.language_now import for_reader
from venue.models import Venue
from venue.queries.log_proofs import consistency_path

CHECK_HEAD = (
    "openssl cms -verify -binary -inform DER -in {name}.p7s -content {name} "
    "-CAfile root-certificate.pem -out /dev/null"
)
CHECK_BUNDLE = "python3 -I verify_log.py --kept {size} {root}"
CHECK_ROOT = """openssl x509 -in {before} -noout -fingerprint -sha256
    openssl cms -verify -binary -purpose any -nointern -certfile {before} \\
        -inform DER -in {statement}.p7s -content {statement} -CAfile {before} -out /dev/null
    openssl x509 -in {after} -noout -fingerprint -sha256"""


def head_mail(head: SignedHead, receiver: HeadReceiver) -> tuple[str, str]:
    """Subject and text, in the language of the house. One walk through the log for the proof."""
    name = f"head-{head.number}.json"
    known = {
        "number": head.number, "venue": head.venue.name, "name": name, "size": head.size,
        "root": head.root, "sha256": head.sha256,
    }  # fmt: skip
    with for_reader(None, head.venue):
        words = "\n\n".join(
            (
                _("Head %(number)s of the inspection log of %(venue)s") % known,
                f"size  {head.size}\nroot  {head.root}\ntime  {head.at.isoformat(timespec='seconds')}",
                _filled(
                    _(
                        "Keep this mail. It is of use to you only as long as somebody other than the venue "
                        "keeps it: with these two figures you can tell later whether a log line was changed, "
                        "put in or taken out. They say nothing about what the lines say."
                    )
                ),
                _filled(
                    _(
                        "How to check it. The head is attached as %(name)s, with its signature. With the "
                        "venue's root certificate, whose fingerprint you have from the venue by another way:"
                    ) % known
                ),
                f"    {CHECK_HEAD.format(**known)}",
                _("With a later evidence bundle of the venue, in its folder:"),
                f"    {CHECK_BUNDLE.format(**known)}",
                _("SHA-256 of %(name)s: %(sha256)s") % known,
                *_proof(head, receiver),
                *_new_root(head.venue),
            )
        )  # fmt: skip
        subject = ngettext(
            "%(venue)s: log head %(number)s, %(size)s line",
            "%(venue)s: log head %(number)s, %(size)s lines",
            head.size,
        )
        return " ".join((subject % known).split()), f"{words}\n"


def _filled(text: str) -> str:
    """As wide as a mail is read, whatever the language."""
    return fill(text, 96, break_long_words=False, break_on_hyphens=False)


def new_root_files(venue: Venue) -> list[tuple[str, bytes]]:
    """What goes with the mail where a root was told across: both roots, and what the old one signed."""
    roots = roots_of(venue)[-2:]
    return [file for each in roots for file in each.files()] if len(roots) == 2 else []


def _new_root(venue: Venue) -> list[str]:
    roots = roots_of(venue)[-2:]
    if len(roots) < 2:
        return []
    old, new = roots
    known = {
        "old": old.sha256, "before": f"root-{old.number}.pem", "after": f"root-{new.number}.pem",
        "statement": f"new-root-{new.number}.json",
    }  # fmt: skip
    return [
        _("The venue has a new root certificate. Its SHA-256 fingerprint is"),
        f"    {new.sha256}",
        _filled(
            _(
                "and the root before it (%(old)s) signed that. Where you have that one as %(before)s, "
                "compare its fingerprint with what you were told, and follow:"
            ) % known
        ),
        f"    {CHECK_ROOT.format(**known)}",
        _filled(
            _(
                "The last must be the new_root_sha256 of %(statement)s. From then on %(after)s is your "
                "root-certificate.pem."
            ) % known
        ),
    ]  # fmt: skip


def _proof(head: SignedHead, receiver: HeadReceiver) -> list[str]:
    last = receiver.sendings.select_related("head").order_by("-pk").first()
    if last is None or not 0 < last.head.size <= head.size:
        return []
    path = consistency_path(head.venue, last.head.size, head.size)
    known = {"number": last.head.number, "size": last.head.size, "day": f"{last.at:%Y-%m-%d}"}
    return [
        _filled(
            _(
                "Since head %(number)s (%(size)s lines), which you were sent on %(day)s, the log has "
                "grown. That it still begins with all of those lines is proven by these hashes "
                "(RFC 9162, 2.1.4):"
            ) % known
        ),
        "\n".join(path) or _("(none: no line has been added)"),
    ]  # fmt: skip
