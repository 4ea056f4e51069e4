"""A file that somebody hands in, held against the root certificates of this installation."""

from __future__ import annotations

import hashlib
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path
from threading import BoundedSemaphore

from asn1crypto.x509 import Certificate
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile

from inspections.evidence.checking.checked import Checked, all_hold
from inspections.evidence.checking.opened import small_file_in
from inspections.evidence.checking.seals import ROOT, certificate_in
from inspections.evidence.checking.whole import Known, check_evidence
from inspections.models import Report
from inspections.queries.evidence_rows import TALLIES

MOST_BYTES = 1 << 30  # unpacked
ONE_AT_A_TIME = BoundedSemaphore(1)  # a large bundle takes seconds; nobody may take them all


class Busy(RuntimeError):
    """Somebody else's file is being checked."""


@dataclass(frozen=True)
class CheckedFile:
    """What came of a file, and its own hash for whoever wants to compare it."""

    name: str
    sha256: str
    points: list[Checked]
    known_here: bool

    @property
    def holds(self) -> bool:
        return all_hold(self.points)


def checked_file(file: UploadedFile, kept: tuple[tuple[int, str], ...]) -> CheckedFile:
    """Raises NotEvidence, Busy. Nothing is kept of the file."""
    if not ONE_AT_A_TIME.acquire(blocking=False):
        raise Busy("Another file is being checked. Try again in a moment.")
    try:
        with tempfile.NamedTemporaryFile(prefix="loftbook-handed-in-") as copy:
            digest = hashlib.sha256()
            for chunk in file.chunks():
                digest.update(chunk)
                copy.write(chunk)
            copy.flush()
            points, known_here = _best(Path(copy.name), kept)
    finally:
        ONE_AT_A_TIME.release()
    return CheckedFile(file.name or "file", digest.hexdigest(), points, known_here)


def _best(path: Path, kept: tuple[tuple[int, str], ...]) -> tuple[list[Checked], bool]:
    """A bundle once, against the root that it names; a report against each root here."""
    known = Known("", None, kept, TALLIES, MOST_BYTES, stamp_root=_stamp_root())
    here = [replace(known, root=root, lists=_lists_of(home)) for home, root in roots_here()]
    named = small_file_in(path, ROOT)
    if named is None:
        tried = [check_evidence(path, each) for each in here] or [check_evidence(path, known)]
        return min(tried, key=_wrong), bool(here)
    ours = next((each for each in here if each.root == _certificate(named)), None)
    return check_evidence(path, ours or known), ours is not None


def _wrong(points: list[Checked]) -> int:
    return sum(point.verdict == "does not hold" for point in points)


def roots_here() -> list[tuple[Path, Certificate]]:
    """The root certificate of every venue that has a seal, with the folder of its keys; made by
    nobody's wish to look."""
    files = sorted(Path(settings.LOFTBOOK_KEYS).glob("*/root.pem"))
    return [(file.parent, certificate_in(file.read_bytes())) for file in files]


def _lists_of(home: Path) -> tuple[bytes, ...]:
    path = home / "revocations.crl"
    return (path.read_bytes(),) if path.is_file() else ()


def _stamp_root() -> Certificate | None:
    name = settings.LOFTBOOK_TIME_STAMP_ROOT
    return certificate_in(Path(name).read_bytes()) if name else None


def _certificate(content: bytes) -> Certificate | None:
    try:
        return certificate_in(content)
    except ValueError:
        return None


def reports_of(record_sha256: str) -> list[Report]:
    """Whoever knows this hash holds the report, so nothing is told that it does not tell."""
    rows = Report.objects.filter(record_sha256=record_sha256.lower())
    rows = rows.select_related("venue", "kept_file").order_by("pk")
    return list(rows.prefetch_related("countersignatures__kept_file"))
