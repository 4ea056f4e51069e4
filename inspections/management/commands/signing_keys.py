"""The venue's signing keys: show, make a new seal, revoke one, encrypt them under another secret."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import load_pem_public_key
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inspections.actions.change_seal import (
    CannotChangeSeal,
    Revoking,
    renew_root,
    renew_seal,
    revoke_seal,
)
from inspections.actions.venue_seal import ring_of, venue_seal
from inspections.models import SealCertificate
from inspections.reports.certificates import REASONS
from inspections.reports.keys import KeysUnreadable, SealExpired
from venue.models import Venue


class Command(BaseCommand):
    help = "Show, make, renew or revoke the seal with which a venue's evidence is signed."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--venue", required=True, metavar="SLUG")
        deeds = parser.add_subparsers(dest="deed", metavar="DEED", required=True)
        deeds.add_parser("show", help="every seal, the newest first; makes the first one")
        renew = deeds.add_parser("renew", help="a new seal under the same root")
        renew.add_argument("--why", required=True)
        renew.add_argument(
            "--public-key", type=Path, metavar="PEM",
            help="of a key (P-256) that stays in a device; LOFTBOOK_SIGNER says how it is reached",
        )  # fmt: skip
        root = deeds.add_parser("new-root", help="a new root, signed across by the old one")
        root.add_argument("--why", required=True)
        revoke = deeds.add_parser("revoke", help="put a seal on the revocation list")
        revoke.add_argument("--seal", type=int, required=True, metavar="NUMBER")
        revoke.add_argument("--reason", choices=[*REASONS], required=True)
        revoke.add_argument("--words", required=True, help="what happened")
        revoke.add_argument(
            "--not-trusted-from",
            required=True,
            metavar="TIME",
            help="such as 2026-03-01T09:30+00:00",
        )
        anew = deeds.add_parser("encrypt", help="encrypt the keys under another secret")
        anew.add_argument(
            "--new-secret", type=Path, required=True, metavar="FILE",
            help="afterwards set LOFTBOOK_KEY_SECRET to the text in it",
        )  # fmt: skip

    def handle(self, *args: Any, **asked: Any) -> None:
        venue = Venue.objects.filter(slug=asked["venue"]).first()
        if venue is None:
            raise CommandError(f"There is no venue “{asked['venue']}”.")
        try:
            getattr(self, f"_{asked['deed'].replace('-', '_')}")(venue, asked)
        except (CannotChangeSeal, KeysUnreadable, SealExpired) as refusal:
            raise CommandError(str(refusal)) from refusal

    def _show(self, venue: Venue, asked: dict[str, Any]) -> None:
        venue_seal(venue, timezone.now())
        rows = SealCertificate.objects.filter(venue=venue).select_related("revoked")
        for row in rows.order_by("-number"):
            revoked = getattr(row, "revoked", None)
            end = f"revoked from {revoked.not_trusted_from:%Y-%m-%d %H:%M} UTC" if revoked else (
                f"ends {row.ends:%Y-%m-%d}")  # fmt: skip
            self.stdout.write(f"{row}  since {row.since:%Y-%m-%d}  {end}  SHA-256 {row.sha256}")
        self.stdout.write(f"Root    SHA-256 {rows.latest('number').root_sha256}")

    def _renew(self, venue: Venue, asked: dict[str, Any]) -> None:
        held = _public_key(asked["public_key"]) if asked["public_key"] else None
        made = renew_seal(venue=venue, why=asked["why"], by=None, at=timezone.now(), held=held)
        self.stdout.write(f"{made} signs from now on. SHA-256 {made.sha256}")

    def _new_root(self, venue: Venue, asked: dict[str, Any]) -> None:
        made = renew_root(venue=venue, why=asked["why"], by=None, at=timezone.now())
        self.stdout.write(
            f"{made} signs from now on, under a new root. SHA-256 of the root {made.root_sha256}. Tell it "
            "to whoever has the old one; the bundles and the mails of the heads say how to follow."
        )

    def _revoke(self, venue: Venue, asked: dict[str, Any]) -> None:
        seal = SealCertificate.objects.filter(venue=venue, number=asked["seal"]).first()
        if seal is None:
            raise CommandError(f"{venue} has no seal {asked['seal']}.")
        revoking = Revoking(asked["reason"], asked["words"], _moment(asked["not_trusted_from"]))
        revoke_seal(seal=seal, revoking=revoking, by=None, at=timezone.now())
        self.stdout.write(f"{seal} is revoked. Hand the new revocation list on.")

    def _encrypt(self, venue: Venue, asked: dict[str, Any]) -> None:
        secret = asked["new_secret"].read_text(encoding="utf-8").strip()
        if len(secret) < 50:
            raise CommandError("The new secret is shorter than 50 characters.")
        ring_of(venue).encrypt_anew(secret.encode())
        self.stdout.write(
            f"The keys below {settings.LOFTBOOK_KEYS}/{venue.slug} open with the new secret. Set "
            "LOFTBOOK_KEY_SECRET to it when the keys of every venue are done."
        )


def _public_key(path: Path) -> ec.EllipticCurvePublicKey:
    try:
        key = load_pem_public_key(path.read_bytes())
    except (OSError, ValueError) as fault:
        raise CommandError(f"{path} is no public key.") from fault
    if not isinstance(key, ec.EllipticCurvePublicKey):
        raise CommandError("The public key must be of an elliptic curve (P-256).")
    return key


def _moment(text: str) -> datetime:
    try:
        found = datetime.fromisoformat(text)
    except ValueError as fault:
        raise CommandError("Write the time as in 2026-03-01T09:30+00:00.") from fault
    if found.tzinfo is None:
        raise CommandError("Say the zone of the time, as in 2026-03-01T09:30+00:00.")
    return found
