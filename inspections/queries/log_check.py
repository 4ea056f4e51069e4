"""Whether a venue's log holds: recomputed from its first line and held against the head row, every
signed head, and every record. Reads only, in constant memory."""

from __future__ import annotations

import json
from base64 import b64decode
from dataclasses import dataclass, field
from datetime import UTC
from typing import Any
from uuid import UUID

from cryptography.x509 import Certificate

from inspections.evidence.head_signature import signed_under
from inspections.models import Record, SignedHead
from inspections.queries.guards import guards_missing
from inspections.queries.seals import roots_of
from venue.log_hash import sha256_of
from venue.models import LogHead, LogLine, Venue
from venue.queries.log_names import NamesReferredTo
from venue.queries.log_walk import AT_ONCE, Line, Walked, walk_log


@dataclass
class Found:
    """What the log was found to be. No faults: it holds."""

    size: int
    root: str
    records: int = 0
    heads: int = 0
    faults: list[str] = field(default_factory=list)


def check_log(venue: Venue) -> Found:
    """Lines written meanwhile are left for the next time."""
    head = LogHead.objects.filter(venue=venue).first() or LogHead(venue=venue, size=0)
    heads = SignedHead.objects.filter(venue=venue)
    sizes = set(heads.values_list("size", flat=True).distinct())
    told, names = _Records(venue), NamesReferredTo(venue)

    def look(lines: list[Line]) -> None:
        told.look(lines)
        names.look(lines)

    walked = walk_log(venue, head.size, sizes, look)
    found = Found(walked.tree.size, walked.tree.root().hex(), told.matched)
    _against_head(walked, head)
    found.heads = _against_signed(walked, heads.order_by("number"))
    told.against_all(walked)
    for words in names.at_odds():
        walked.fault(words)
    for name in guards_missing():
        walked.fault(f"The database's guard {name} is gone.")
    found.faults = walked.faults
    return found


def _against_head(walked: Walked, head: LogHead) -> None:
    if walked.tree.size != head.size:
        walked.fault(f"Lines that are there: {walked.tree.size}; the log was {head.size} long.")
    elif head.size and (walked.tree.root().hex(), walked.tree.hex()) != (head.root, head.frontier):
        walked.fault("The root of the lines is not the one of the head row.")


def _against_signed(walked: Walked, heads: Any) -> int:
    """Every head ever signed, in its order. Each names the one before."""
    count, before = 0, ""
    roots: list[Certificate] = []
    for head in heads.iterator(chunk_size=AT_ONCE):
        count += 1
        roots = roots or [each.certificate for each in roots_of(head.venue)]
        words = f"Signed head {head.number} ({head.size} lines, {head.at:%Y-%m-%d %H:%M} UTC)"
        if walked.roots.get(head.size) != head.root:
            walked.fault(f"{words}: the log no longer begins with the lines it was signed for.")
        if not _is_whole(head, before):
            walked.fault(f"{words}: it was changed, or does not follow the one before.")
        elif not _by_one_of(roots, head):
            walked.fault(f"{words}: its signature is not one by a seal of the venue's root.")
        before = head.sha256
    return count


def _by_one_of(roots: list[Certificate], head: SignedHead) -> bool:
    signature = _der(head.signature)
    return any(signed_under(head.body.encode(), signature, root) for root in reversed(roots))


def _der(text: str) -> bytes:
    try:
        return b64decode(text, validate=True)
    except ValueError:
        return b""


def _is_whole(head: SignedHead, before: str) -> bool:
    try:
        body = json.loads(head.body)
    except ValueError:
        return False
    told = [body.get(name) for name in ("head", "size", "root", "at", "previous_head_sha256")]
    at = head.at.astimezone(UTC).isoformat()
    is_so = told == [str(head.number), str(head.size), head.root, at, before]
    return is_so and sha256_of(head.body) == head.sha256


class _Records:
    """Every record that the log tells of is there as it was hashed, and there is no other."""

    def __init__(self, venue: Venue) -> None:
        self.venue, self.matched = venue, 0
        self.faults: list[str] = []

    def look(self, lines: list[Line]) -> None:
        told = {
            UUID(body["subject"].split()[-1]): body["after"]["sha256"]
            for _, body in lines
            if body["did"] == "submit_check" and "sha256" in (body["after"] or {})
        }
        rows = Record.objects.filter(venue=self.venue, pk__in=told).values_list(
            "pk", "body", "sha256"
        )
        kept = {pk: (sha256_of(body), sha256) for pk, body, sha256 in rows} if told else {}
        for pk, sha256 in told.items():
            if kept.get(pk) == (sha256, sha256):
                self.matched += 1
            else:
                what = "was changed" if pk in kept else "is gone"
                self.faults.append(f"Record {pk}, which the log tells of, {what}.")

    def against_all(self, walked: Walked) -> None:
        for words in self.faults:
            walked.fault(words)
        there = Record.objects.filter(venue=self.venue).count()
        newer = LogLine.objects.filter(
            venue=self.venue, number__gt=walked.tree.size, did="submit_check"
        )
        unknown = there - self.matched - len(self.faults) - newer.count()
        if unknown > 0:
            one = "Of 1 record the log tells nothing."
            walked.fault(one if unknown == 1 else f"Of {unknown} records the log tells nothing.")
