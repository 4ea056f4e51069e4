"""Sign how far the venue's log goes: whoever holds the signed head sees a log that was rewritten."""

from __future__ import annotations

import base64
from datetime import UTC, datetime

from django.db import transaction

from inspections.evidence.manifest_seal import detached_signature
from inspections.models import SignedHead
from inspections.reports.keys import Seal
from venue.log_hash import canonical, sha256_of
from venue.merkle import EMPTY_ROOT
from venue.models import LogHead, Venue


@transaction.atomic
def sign_head(*, venue: Venue, seal: Seal, at: datetime) -> SignedHead:
    """The next signed head, of every line written so far. It writes no line of its own: the log
    would grow by its being looked at."""
    log, _ = LogHead.objects.select_for_update().get_or_create(venue=venue)
    before = SignedHead.objects.filter(venue=venue).order_by("-number").first()
    number, root = (before.number if before else 0) + 1, log.root or EMPTY_ROOT.hex()
    body = canonical(
        {
            "format": "loftbook log head 1",
            "venue": venue.name,
            "head": str(number),
            "size": str(log.size),
            "root": root,
            "at": at.astimezone(UTC).isoformat(),
            "previous_head_sha256": before.sha256 if before else "",
        }
    )
    signature = detached_signature(body.encode(), seal)
    return SignedHead.objects.create(
        venue=venue, number=number, size=log.size, root=root, at=at, body=body,
        sha256=sha256_of(body), signature=base64.b64encode(signature).decode(),
    )  # fmt: skip
