"""Print a proof about a venue's log, which `verify_proof.py` of any bundle checks."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from venue.models import LogHead, LogLine, Venue
from venue.queries.log_proofs import consistency_path, inclusion_path, root_at


class Command(BaseCommand):
    help = "Prove that the log begins with the lines of an earlier head, or that a line is in it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--venue", required=True, metavar="SLUG")
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument("--kept", type=int, metavar="SIZE", help="the size of the head you kept")
        what.add_argument("--line", type=int, metavar="NUMBER", help="the line to be proven")
        parser.add_argument("--to", type=int, metavar="SIZE", help="of the later head; else now")

    def handle(self, *args: Any, **asked: Any) -> None:
        venue = Venue.objects.filter(slug=asked["venue"]).first()
        if venue is None:
            raise CommandError(f"There is no venue “{asked['venue']}”.")
        to = (
            asked["to"]
            or LogHead.objects.filter(venue=venue).values_list("size", flat=True).first()
        )
        try:
            proof = _proof(venue, asked["kept"], asked["line"], to or 0)
        except ValueError as refusal:
            raise CommandError(f"It cannot be proven: {refusal}.") from refusal
        self.stdout.write(json.dumps(proof, ensure_ascii=False, indent=1))


def _proof(venue: Venue, kept: int | None, line: int | None, to: int) -> dict[str, Any]:
    """Raises ValueError where there is no such line or head."""
    if kept is not None:
        path = consistency_path(venue, kept, to)
        old = {"size": str(kept), "root": root_at(venue, kept)}
        told: dict[str, Any] = {"proof": "consistency", "old": old}
    else:
        number = line or 0
        path = inclusion_path(venue, number, to)
        bodies = LogLine.objects.in_venue(venue).values_list("body", flat=True)
        body = bodies.get(number=number)
        told = {"proof": "inclusion", "number": str(line), "line": body}
    return {
        "venue": venue.name,
        **told,
        "new": {"size": str(to), "root": root_at(venue, to)},
        "path": path,
    }
