"""Export the evidence of some days as one file that a stranger can check."""

from __future__ import annotations

import json
import os
import tempfile
from contextlib import closing
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import IO, Any

from cryptography import x509
from cryptography.hazmat.primitives import serialization
from django.conf import settings
from django.db import transaction

from inspections.actions.sign_head import sign_head
from inspections.actions.venue_seal import list_of_the_day, time_stamp_authority, venue_seal
from inspections.evidence import (
    verify_competences,
    verify_complete,
    verify_log,
    verify_proof,
    verify_signatures,
    verify_tables,
)
from inspections.evidence.bag import Bag
from inspections.evidence.followed import Followed
from inspections.evidence.manifest_seal import detached_signature
from inspections.evidence.packing import Packed, pack, pack_heads, pack_log, pack_names
from inspections.evidence.progress import Progress, files_expected
from inspections.evidence.readme import REVOCATIONS, TIME_STAMP, new_roots_words, readme
from inspections.models import SignedHead
from inspections.queries.evidence import Span, counts_in, counts_in_all
from inspections.queries.evidence_rows import TABLES
from inspections.queries.isolation_rows import not_recorded_of_isolations
from inspections.queries.seals import roots_of, seal_files
from inspections.reports.keys import KeysUnreadable, Seal, SealExpired
from inspections.reports.time_stamps import Authority, NotStamped, token_over
from venue.actions.log import write_line
from venue.models import Person, Venue

SCRIPTS = (
    verify_log, verify_proof, verify_complete, verify_tables, verify_signatures, verify_competences,
)  # fmt: skip


class ExportFailed(RuntimeError):
    """The bundle was not made, and no half file is left."""


@dataclass(frozen=True)
class Asked:
    """Which days of which venue, who asked, when; both days are included. `names`: whether the names
    behind the log's references are given with it."""

    venue: Venue
    start: date
    end: date
    by: Person | None
    at: datetime
    names: bool = False

    @property
    def span(self) -> Span:
        return Span(self.venue, self.start, self.end)

    @property
    def local_time(self) -> datetime:
        return self.at.astimezone(self.venue.zone)


@dataclass(frozen=True)
class Export:
    path: Path
    sha256: str
    written: dict[str, int]
    missing: list[dict[str, str]]


def export_evidence(
    *, venue: Venue, start: date, end: date, out: Path, by: Person | None, at: datetime,
    names: bool = False,
) -> Export:  # fmt: skip
    """Write the bundle of the local days from `start` to `end`, both included, to `out`, and log it.

    The file appears whole or not at all. Raises ExportFailed.
    """
    asked = Asked(venue, start, end, by, at, names)
    made = write_bundle(asked=asked, out=out)
    with transaction.atomic():
        log_export(asked=asked, made=made, at=at)
    return made


def write_bundle(*, asked: Asked, out: Path, progress: Progress | None = None) -> Export:
    """Write the file and nothing else: whoever asked for it logs it. Raises ExportFailed."""
    if asked.end < asked.start:
        raise ExportFailed("The last day is before the first.")
    try:
        seal = venue_seal(asked.venue, asked.at)
        packed, sha256 = _write_whole(asked, out, seal, progress or Progress())
    except (KeysUnreadable, SealExpired, NotStamped) as refusal:
        raise ExportFailed(str(refusal)) from refusal
    except OSError as fault:
        raise ExportFailed(f"The bundle could not be written ({fault.strerror}).") from fault
    return Export(out, sha256, packed.written, packed.missing)


def log_export(*, asked: Asked, made: Export, at: datetime) -> None:
    """Inside the transaction of what hands the bundle out."""
    after = {
        "from": asked.start, "to": asked.end, "sha256": made.sha256, "written": made.written,
        "names": "given" if asked.names else "withheld",
    }  # fmt: skip
    write_line(
        venue=asked.venue, by=asked.by, at=at, did="export_evidence", subject=asked.venue,
        after=after,
    )  # fmt: skip


def _write_whole(asked: Asked, out: Path, seal: Seal, progress: Progress) -> tuple[Packed, str]:
    handle, name = tempfile.mkstemp(prefix=".evidence-", dir=out.parent)
    try:
        with os.fdopen(handle, "w+b") as file:
            followed = Followed(file)
            packed = _fill(file, asked, seal, progress, followed)
            followed.up_to(file.seek(0, os.SEEK_END))
            os.fsync(file.fileno())
            sha256 = followed.sha256()
        Path(name).replace(out)
    finally:
        Path(name).unlink(missing_ok=True)
    return packed, sha256


def _fill(
    file: IO[bytes], asked: Asked, seal: Seal, progress: Progress, followed: Followed
) -> Packed:
    span, venue = asked.span, asked.venue
    name = f"bundle-{venue.slug}-{asked.start}-{asked.end}"
    before = counts_in(span)
    progress.of = files_expected(before, len(TABLES))
    with closing(Bag(file, name, asked.local_time, progress, followed.up_to)) as bag:
        packed = pack(bag, span, asked.local_time.date(), Path(settings.LOFTBOOK_FILES))
        _refuse_a_gap(before, packed, counts_in(span))
        head = sign_head(venue=venue, seal=seal, at=asked.at)
        pack_log(bag, Span(venue, asked.start, asked.end, head.size))
        names = pack_names(bag, span, given=asked.names)
        pack_heads(bag, head)
        said = _completeness(span, before, packed, head, asked.at) | {"names": names}
        bag.add_text("completeness.json", [json.dumps(said, ensure_ascii=False, indent=1) + "\n"])
        _add_tags(bag, asked, head, seal)
    return packed


def _refuse_a_gap(before: dict[str, int], packed: Packed, after: dict[str, int]) -> None:
    """What was written must lie between the counts before and after: people go on working."""
    for name, counted in before.items():
        low, high = sorted((counted, after[name]))
        if not low <= packed.written[name] <= high:
            raise ExportFailed(
                f"{packed.written[name]} {name} were written but {counted} counted. Nothing was "
                "handed out; try again."
            )


def _completeness(
    span: Span, counted: dict[str, int], packed: Packed, head: SignedHead, at: datetime
) -> dict[str, Any]:
    whole = counts_in_all(span.venue)
    return {
        "venue": span.venue.name,
        "from": span.start.isoformat(),
        "to": span.end.isoformat(),
        "begins": span.begins.isoformat(),
        "ends": span.ends.isoformat(),
        "made": at.astimezone(span.venue.zone).isoformat(timespec="seconds"),
        "counts": {
            name: {
                "in this bundle": packed.written[name],
                "counted in these days": counted[name],
                "in the whole book": whole[name],
            }
            for name in counted
        },
        "by outcome": packed.tallied,
        "log": {"lines": str(head.size), "root": head.root},
        "files that could not be included": packed.missing,
        "what the book does not record": not_recorded_of_isolations(span.venue),
    }


def _add_tags(bag: Bag, asked: Asked, head: SignedHead, seal: Seal) -> None:
    span, made = asked.span, asked.local_time.isoformat(timespec="seconds")
    authority = time_stamp_authority()
    fingerprint = seal.root_fingerprint.upper()
    page = readme(
        venue=span.venue.name,
        start=span.start.isoformat(),
        end=span.end.isoformat(),
        time_zone=span.venue.time_zone,
        at=made,
        by=asked.by.name if asked.by else "the command line",
        root_fingerprint=":".join(fingerprint[i : i + 2] for i in range(0, 64, 2)),
        names="The names are given."
        if asked.names
        else "The names are withheld: none was asked for.",
        log_size=str(head.size),
        log_root=head.root,
        time_stamp=TIME_STAMP if authority else "",
        revocations=_revocations(seal, asked.at),
        new_roots=new_roots_words(roots_of(span.venue), int(asked.at.timestamp())),
    )
    bag.add_tag("README-VERIFY.txt", page.encode())
    for script in SCRIPTS:
        path = Path(str(script.__file__))
        bag.add_tag(path.name, path.read_bytes())
    bag.add_tag("root-certificate.pem", seal.root_pem)
    if seal.revoked:
        bag.add_tag("revocations.pem", seal.revoked_pem)
    for name, pem in seal_files(span.venue):
        bag.add_tag(name, pem)
    _add_roots(bag, span.venue, asked.at)
    if authority:
        root = Path(settings.LOFTBOOK_TIME_STAMP_ROOT)
        bag.add_tag("time-stamp-root.pem", root.read_bytes())
    information = {
        "Source-Organization": " ".join(span.venue.organisation.name.split()),
        "External-Description": f"Inspection evidence of {' '.join(span.venue.name.split())}, "
        f"{span.start} to {span.end}",
        "Bagging-Date": made[:10],
    }
    tags = bag.finish(information)
    _sign(bag, tags, seal, authority)


def _add_roots(bag: Bag, venue: Venue, at: datetime) -> None:
    """Where there was more than one: each root, what it signed of the next, and its revocation list."""
    roots = roots_of(venue)
    for root in roots if len(roots) > 1 else ():
        for name, content in root.files():
            bag.add_tag(f"roots/{name}", content)
        if root != roots[-1] and (told := list_of_the_day(venue, at, root.number)):
            pem = x509.load_der_x509_crl(told).public_bytes(serialization.Encoding.PEM)
            bag.add_tag(f"roots/revocations-{root.number}.pem", pem)


def _revocations(seal: Seal, at: datetime) -> str:
    if not seal.revoked:
        return "\nThe venue's revocation list could not be made; ask the venue for it.\n"
    address = f"{settings.LOFTBOOK_ADDRESS}/verify/revoked/{seal.root_fingerprint}.crl"
    return REVOCATIONS.format(moment=int(at.timestamp()), address=address)


def _sign(bag: Bag, tags: bytes, seal: Seal, authority: Authority | None) -> None:
    """The seal, and the authority's word on when these very bytes existed. Raises NotStamped."""
    bag.add_signature("signatures/tagmanifest-sha256.txt.p7s", detached_signature(tags, seal))
    if authority:
        bag.add_signature("signatures/tagmanifest-sha256.txt.tst", token_over(tags, authority))
