"""All points of a bundle, or of a report alone."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from asn1crypto.x509 import Certificate

from inspections.evidence import (
    verify_competences,
    verify_complete,
    verify_log,
    verify_signatures,
    verify_tables,
)
from inspections.evidence.checking.checked import Checked, guarded, judged
from inspections.evidence.checking.counts import check_counts
from inspections.evidence.checking.followed_roots import (
    FOLDER,
    check_new_roots,
    newer_roots,
    older_roots,
    roots_in,
)
from inspections.evidence.checking.opened import CannotOpen, unpacked
from inspections.evidence.checking.papers import BROKEN, check_paper
from inspections.evidence.checking.seals import (
    ROOT,
    STAMP_ROOT,
    certificate_in,
    check_lists,
    check_root,
    check_seal,
    check_time_stamp,
)
from inspections.evidence.checking.sums import (
    MANIFEST,
    TAGS,
    check_layout,
    check_nothing_more,
    check_sums,
)
from inspections.evidence.checking.trust import REVOKED, Trust, lists_in

MOST_BYTES = 50 << 30
SCRIPTS = {
    "Nothing left out": verify_complete,
    "The tables": verify_tables,
    "Signatures of checks": verify_signatures,
    "Competence of who signed": verify_competences,
}
Script = Callable[[Path], tuple[list[str], str]]
PDF, ZIP = b"%PDF-", b"PK\x03\x04"


class NotEvidence(ValueError):
    """Neither a bundle nor a report."""


@dataclass(frozen=True)
class Known:
    """What the reader knows from elsewhere: the root's fingerprint, or the root itself, heads of the
    log that were kept (size and root), which column of each table of a bundle is counted, revocation
    lists of the root (DER), and the root of the time-stamp authority."""

    fingerprint: str = ""
    root: Certificate | None = None
    kept: tuple[tuple[int, str], ...] = ()
    tallies: Mapping[str, str] = field(default_factory=dict)
    most_bytes: int = MOST_BYTES
    lists: tuple[bytes, ...] = ()
    stamp_root: Certificate | None = None


def check_evidence(path: Path, known: Known) -> list[Checked]:
    """Every point of a bundle (zip) or of a report (PDF). Raises NotEvidence."""
    with path.open("rb") as file:
        begins = file.read(5)
    if begins.startswith(ZIP):
        return check_bundle(path, known)
    if begins == PDF:
        return check_report(path, known)
    raise NotEvidence("This is neither an evidence bundle (a zip) nor a report (a PDF).")


def check_report(path: Path, known: Known) -> list[Checked]:
    """A report alone can be held against a root that is known, and against nothing else."""
    if known.root is None:
        raise NotEvidence(
            "Give the venue's root certificate with it: a report alone does not carry what it is "
            "checked against."
        )
    root = known.root
    trust = Trust(root, known.lists, known.stamp_root, known.stamp_root is not None)
    content = path.read_bytes()
    return [
        check_root(root, known.fingerprint, given=True),
        guarded("The report", lambda: check_paper("The report", content, trust), BROKEN),
    ]


def check_bundle(path: Path, known: Known) -> list[Checked]:
    with tempfile.TemporaryDirectory(prefix="loftbook-check-") as folder:
        try:
            bag = unpacked(path, Path(folder), known.most_bytes)
        except CannotOpen as refusal:
            return [judged("The file", "It is not a bundle.", [str(refusal)])]
        return list(_points(bag, known))


def _points(bag: Path, known: Known) -> Iterator[Checked]:
    data = bag / "data"
    yield guarded("The layout", lambda: check_layout(bag), BROKEN)
    yield from _sealed(bag, known)
    yield guarded("About the bundle", lambda: check_sums(bag, "About the bundle", TAGS), BROKEN)
    yield guarded("The data", lambda: check_sums(bag, "The data", MANIFEST), BROKEN)
    yield guarded("Nothing added", lambda: check_nothing_more(bag), BROKEN)
    yield guarded("Complete", lambda: check_counts(data, dict(known.tallies)), BROKEN)
    yield guarded(
        "The log", _asked("The log", lambda data: verify_log.check(data, known.kept), data), BROKEN
    )
    for name, script in SCRIPTS.items():
        yield guarded(name, _asked(name, script.check, data), BROKEN)
    yield from _papers(bag, known)


def _asked(name: str, check: Script, data: Path) -> Callable[[], Checked]:
    """By the book's own copy of a script: the one in the bundle came with it."""

    def asked() -> Checked:
        faults, words = check(data)
        return judged(name, words, faults)

    return asked


def _root_of(bag: Path, known: Known) -> Certificate:
    """The one that the reader has, or whose fingerprint the reader has; else the one that came along."""
    wanted = "".join(known.fingerprint.lower().replace(":", "").split())
    return known.root or roots_in(bag).get(wanted) or certificate_in((bag / ROOT).read_bytes())


def _trust_in(bag: Path, known: Known) -> Trust:
    """What the reader knows comes before what the bundle brought along."""
    lists, stamp_root = known.lists, known.stamp_root
    if (bag / REVOKED).is_file():
        lists = (*lists, *lists_in((bag / REVOKED).read_bytes()))
    if stamp_root is None and (bag / STAMP_ROOT).is_file():
        stamp_root = certificate_in((bag / STAMP_ROOT).read_bytes())
    for path in sorted(bag.glob(f"{FOLDER}/revocations-*.pem")):
        lists = (*lists, *lists_in(path.read_bytes()))
    root = _root_of(bag, known)
    return Trust(
        root, lists, stamp_root, known.stamp_root is not None,
        newer_roots(bag, root), older_roots(bag, root),
    )  # fmt: skip


def _sealed(bag: Path, known: Known) -> Iterator[Checked]:
    name = "The root certificate"
    given = known.root is not None
    yield guarded(
        name, lambda: check_root(_root_of(bag, known), known.fingerprint, given), BROKEN
    )  # fmt: skip
    yield guarded("New roots", lambda: check_new_roots(bag, _root_of(bag, known)), BROKEN)
    yield guarded("The seal", lambda: check_seal(bag, _trust_in(bag, known)), BROKEN)
    yield guarded("Revocations", lambda: check_lists(bag, _trust_in(bag, known)), BROKEN)
    yield guarded(
        "The time stamp", lambda: check_time_stamp(bag, _trust_in(bag, known)), BROKEN
    )  # fmt: skip


def _papers(bag: Path, known: Known) -> Iterator[Checked]:
    for pdf in sorted((bag / "data" / "reports").glob("*.pdf")):
        name = f"Report {pdf.name}"

        def check(pdf: Path = pdf, name: str = name) -> Checked:
            return check_paper(name, pdf.read_bytes(), _trust_in(bag, known))

        yield guarded(name, check, BROKEN)
