"""Check a bundle or a report that somebody hands in; the database is not asked."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from asn1crypto.x509 import Certificate
from django.core.management.base import BaseCommand, CommandError

from inspections.evidence.checking.checked import Checked, all_hold
from inspections.evidence.checking.seals import certificate_in
from inspections.evidence.checking.trust import lists_in
from inspections.evidence.checking.whole import Known, NotEvidence, check_evidence
from inspections.queries.evidence_rows import TALLIES

CAUTION = (
    "That everything holds means that the file is as its maker sealed it. It does not mean that the "
    "checks were right or that anything is safe to use."
)


class Command(BaseCommand):
    help = (
        "Say point by point what holds of an evidence bundle (zip) or a signed report (PDF). "
        "Ends with 0 where nothing is wrong, with 1 where something is."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument(
            "--root", type=Path, metavar="ROOT.pem",
            help="the venue's root certificate, as the venue gave it by another way",
        )  # fmt: skip
        parser.add_argument(
            "--fingerprint", default="", metavar="SHA256",
            help="the fingerprint of the root certificate, as the venue gave it by another way",
        )  # fmt: skip
        parser.add_argument(
            "--kept", nargs=2, action="append", default=[], metavar=("SIZE", "ROOT"),
            help="a head of the log that you kept from before; may be said more than once",
        )  # fmt: skip
        parser.add_argument(
            "--revoked", type=Path, metavar="LIST", action="append", default=[],
            help="a revocation list of the venue (crl or pem), newer than the one in the file",
        )  # fmt: skip
        parser.add_argument(
            "--time-stamp-root", type=Path, metavar="ROOT.pem",
            help="the root certificate of the time-stamp authority, as the authority publishes it",
        )  # fmt: skip
        parser.add_argument("--json", action="store_true", help="one line of JSON")

    def handle(self, *args: Any, **asked: Any) -> None:
        known = Known(
            fingerprint=asked["fingerprint"], root=_root(asked["root"]), tallies=TALLIES,
            kept=_kept(asked["kept"]), lists=_lists(asked["revoked"]),
            stamp_root=_root(asked["time_stamp_root"]),
        )  # fmt: skip
        try:
            points = check_evidence(asked["file"], known)
        except OSError as fault:
            raise CommandError(f"{asked['file']} cannot be read ({fault.strerror}).") from fault
        except NotEvidence as refusal:
            raise CommandError(str(refusal)) from refusal
        holds = all_hold(points)
        if asked["json"]:
            told = {"holds": holds, "points": [point.to_dict() for point in points]}
            self.stdout.write(json.dumps(told, ensure_ascii=False))
        else:
            self._tell(points, holds)
        if not holds:
            raise SystemExit(1)

    def _tell(self, points: list[Checked], holds: bool) -> None:
        for point in points:
            self.stdout.write(f"{point.verdict.upper():<13} {point.name}: {point.words}")
            for fault in point.faults:
                self.stdout.write(f"              {fault}")
        wrong = sum(point.verdict == "does not hold" for point in points)
        said = "Nothing is wrong." if holds else f"{wrong} of {len(points)} points do not hold."
        self.stdout.write(f"{said} {CAUTION}")


def _kept(heads: list[list[str]]) -> tuple[tuple[int, str], ...]:
    if not all(size.isdecimal() and int(size) for size, _ in heads):
        raise CommandError("Say it so: --kept SIZE ROOT, SIZE being a number of lines.")
    return tuple((int(size), root.strip().lower()) for size, root in heads)


def _lists(paths: list[Path]) -> tuple[bytes, ...]:
    try:
        return tuple(found for path in paths for found in lists_in(path.read_bytes()))
    except OSError as fault:
        raise CommandError(f"A revocation list cannot be read ({fault.strerror}).") from fault
    except ValueError as fault:
        raise CommandError("One of the files is no revocation list.") from fault


def _root(path: Path | None) -> Certificate | None:
    if path is None:
        return None
    try:
        return certificate_in(path.read_bytes())
    except OSError as fault:
        raise CommandError(f"{path} cannot be read ({fault.strerror}).") from fault
    except ValueError as fault:
        raise CommandError(f"{path} is no certificate.") from fault
