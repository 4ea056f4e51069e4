"""The certificates a venue sealed with, and those that are no longer trusted."""

from __future__ import annotations

import json
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from django.conf import settings
from django.db.models import QuerySet

from inspections.models import Report, SealCertificate, SealRevoked
from inspections.reports.certificates import Names, Withdrawn
from inspections.reports.keys import Ring
from inspections.reports.new_roots import RootOfTime
from venue.models import Person, Venue


def seals_of(venue: Venue, person: Person) -> QuerySet[SealCertificate]:
    """The newest first: the one that signs now."""
    rows = SealCertificate.objects.visible_to(person).in_venue(venue)
    return rows.select_related("revoked__by", "by").order_by("-number")


def withdrawn_of(venue: Venue) -> list[Withdrawn]:
    """What the venue's revocation list has to say."""
    rows = SealRevoked.objects.filter(seal__venue=venue).select_related("seal").order_by("at", "pk")
    return [
        Withdrawn(_certificate(row.seal).serial_number, row.not_trusted_from, row.reason)
        for row in rows
    ]


def seal_files(venue: Venue) -> list[tuple[str, bytes]]:
    """Every certificate the venue ever sealed with, as a bundle has them."""
    rows = SealCertificate.objects.filter(venue=venue).order_by("number")
    return [(f"certificates/seal-{row.number}.pem", row.pem.encode()) for row in rows]


def revoked_seal_of(report: Report) -> SealRevoked | None:
    """Why the seal of an issued report is not trusted any more, if it is not."""
    signed = json.loads(report.record_json).get("signature") or {}
    sha256 = signed.get("certificate_sha256", "")
    return SealRevoked.objects.filter(seal__sha256=sha256).select_related("seal").first()


def venue_of_root(root_sha256: str) -> Venue | None:
    """Whose root certificate has this fingerprint."""
    row = SealCertificate.objects.filter(root_sha256=root_sha256).select_related("venue").first()
    return row.venue if row else None


def roots_of(venue: Venue) -> list[RootOfTime]:
    """The venue's roots as they lie in the key folder, the first one first: no secret is needed, and
    none is made."""
    ring = Ring(Path(settings.LOFTBOOK_KEYS), venue.slug, Names("", ""), b"")
    return ring.roots() if (ring.home / "root.pem").is_file() else []


def fingerprint(certificate: x509.Certificate) -> str:
    return certificate.fingerprint(hashes.SHA256()).hex()


def _certificate(seal: SealCertificate) -> x509.Certificate:
    return x509.load_pem_x509_certificate(seal.pem.encode())
