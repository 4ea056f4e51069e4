"""The venue's seal is replaced, revoked, held elsewhere, encrypted anew; what it signed before is told
apart from what somebody else may have signed with it."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from django.conf import settings
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pyhanko.sign.signers import Signer
from pyhanko_certvalidator.registry import SimpleCertificateStore
from pytest_django import Settings

from inspections.actions.change_seal import CannotChangeSeal, Revoking, renew_seal, revoke_seal
from inspections.actions.sign_head import sign_head
from inspections.actions.venue_seal import make_missing_seals, ring_of, venue_seal
from inspections.actions.verify_log import verify_log
from inspections.evidence.checking.checked import Checked
from inspections.evidence.checking.papers import check_paper
from inspections.evidence.checking.seals import certificate_in
from inspections.evidence.checking.trust import Trust
from inspections.jobs import HOUSEKEEPING, make_seals
from inspections.models import SealCertificate, SealRevoked, SignedHead
from inspections.queries.seals import withdrawn_of
from inspections.reports.keys import KeysUnreadable, Seal
from inspections.reports.time_stamps import Authority
from tests.guards import unguarded
from tests.inspections.outside_tools import signature_check, tool
from tests.inspections.own_authority import answering, make_authority
from tests.inspections.proof_house import House, make_proof_house
from tests.inspections.sealed_papers import sealed_pdf
from venue.actions.open_house import make_set_up_code, open_house
from venue.models import LogLine, Venue

pytestmark = pytest.mark.django_db
HELD: dict[str, ec.EllipticCurvePrivateKey] = {}


@pytest.fixture
def house(settings: Settings, tmp_path: Path) -> House:
    settings.LOFTBOOK_FILES, settings.LOFTBOOK_KEYS = tmp_path / "files", tmp_path / "keys"
    return make_proof_house()


@pytest.fixture(scope="module")
def stamps(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, Authority]]:
    tool("openssl", "openssl")
    folder = make_authority(tmp_path_factory.mktemp("stamps") / "authority")
    with answering(folder) as address:
        yield folder / "root.pem", Authority(address)


def trust(house: House, **known: Any) -> Trust:
    list_of_now = ring_of(house.venue).revocations(withdrawn_of(house.venue), timezone.now())
    root = certificate_in(venue_seal(house.venue, timezone.now()).root_pem)
    return Trust(root, (list_of_now,), **known)


def checked(content: bytes, held_against: Trust) -> Checked:
    return check_paper("The report", content, held_against)


def compromised(since: datetime) -> Revoking:
    return Revoking("key_compromise", "A backup of the keys was stolen.", since)


def now_seal(house: House) -> Seal:
    return venue_seal(house.venue, timezone.now())


def test_every_venue_has_its_keys_from_the_start_of_the_worker_on_and_once(
    house: House, tmp_path: Path, caplog: pytest.LogCaptureFixture, settings: Settings
) -> None:
    settings.LOFTBOOK_KEYS = tmp_path / "fresh"
    assert not SealCertificate.objects.exists()
    make_seals()
    make_seals()
    venues = Venue.objects.count()
    assert SealCertificate.objects.count() == venues >= 2
    keys = sorted((tmp_path / "fresh").glob("*/*.key"))
    assert len(keys) == 2 * venues
    assert all(b"ENCRYPTED PRIVATE KEY" in path.read_bytes() for path in keys)
    assert make_missing_seals in HOUSEKEEPING
    (tmp_path / "fresh" / "in the way").write_text("")
    settings.LOFTBOOK_KEYS = tmp_path / "fresh" / "in the way"
    with unguarded():
        SealCertificate.objects.all().delete()
    make_seals()  # it stops nothing
    assert "signing keys could not be made" in caplog.text


def test_a_house_that_is_opened_has_its_keys_at_once(
    db: None, settings: Settings, tmp_path: Path, django_capture_on_commit_callbacks: Any
) -> None:
    settings.LOFTBOOK_KEYS = tmp_path / "keys"
    with django_capture_on_commit_callbacks(execute=True):
        open_house(
            code=make_set_up_code(at=timezone.now()), name="Odile Varga", email="odile@larkspur.example",
            password="a long one for tests", house="The Larkspur", time_zone="Europe/London",
            at=timezone.now(),
        )  # fmt: skip
    assert SealCertificate.objects.get().venue.name == "The Larkspur"
    assert len([*(tmp_path / "keys").glob("*/*.key")]) == 2


def test_a_new_seal_signs_and_what_the_old_one_signed_stays_good(
    house: House, tmp_path: Path
) -> None:
    old = now_seal(house)
    before = sealed_pdf(old, timezone.now())
    renew_seal(venue=house.venue, why="Every two years", by=house.odile, at=timezone.now())
    new = now_seal(house)
    assert new.fingerprint != old.fingerprint
    assert new.root_fingerprint == old.root_fingerprint
    after = sealed_pdf(new, timezone.now())
    for number, content in enumerate((before, after)):
        assert checked(content, trust(house)).verdict == "holds"
        (tmp_path / f"{number}.pdf").write_bytes(content)
        said = signature_check(tmp_path / f"{number}.pdf", new.root_pem, tmp_path)
        assert "Certificate is Trusted." in said
    home = tmp_path / "keys" / "larkspur"
    assert not (home / "seal.key").exists()
    assert (home / "seal.pem").exists()
    assert b"ENCRYPTED PRIVATE KEY" in (home / "seal-2" / "seal.key").read_bytes()
    told = list(LogLine.objects.filter(did__endswith="_seal").values_list("did", "by"))
    assert told == [("make_seal", None), ("renew_seal", house.odile.pk)]
    assert SignedHead.objects.filter(venue=house.venue).count() == 1


def test_a_revoked_seal_is_told_by_the_list_at_the_public_address_and_by_openssl(
    house: House, tmp_path: Path
) -> None:
    seal, since = now_seal(house), timezone.now() - timedelta(hours=3)
    content = sealed_pdf(seal, since - timedelta(days=1))
    row = SealCertificate.objects.get()
    address = reverse("revocations", args=[seal.root_fingerprint])
    points = seal.certificate.extensions.get_extension_for_class(x509.CRLDistributionPoints).value
    assert points[0].full_name[0].value == f"{settings.LOFTBOOK_ADDRESS}{address}"
    revoke_seal(seal=row, revoking=compromised(since), by=house.odile, at=timezone.now())
    answer = Client().get(address)
    assert answer.headers["Content-Type"] == "application/pkix-crl"
    told = x509.load_der_x509_crl(answer.content)
    entry = told.get_revoked_certificate_by_serial_number(seal.certificate.serial_number)
    assert entry
    assert entry.revocation_date_utc == since.replace(microsecond=0)
    pem = serialization.Encoding.PEM
    (tmp_path / "list.pem").write_bytes(told.public_bytes(pem))
    (tmp_path / "root.pem").write_bytes(seal.root_pem)
    said = {}
    for name, each in (("old", seal), ("new", now_seal(house))):
        (tmp_path / f"{name}.pem").write_bytes(each.certificate.public_bytes(pem))
        command = ["openssl", "verify", "-crl_check", "-CAfile", "root.pem", "-CRLfile", "list.pem",
                   f"{name}.pem"]  # fmt: skip
        done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
        said[name] = done.stdout + done.stderr
    assert "certificate revoked" in said["old"]
    assert said["new"] == "new.pem: OK\n"
    (fault,) = checked(content, trust(house)).faults
    assert "its key may have been used by somebody else" in fault
    assert "No time stamp of an authority shows that it was signed before." in fault


def test_only_a_time_stamp_older_than_the_loss_of_the_key_keeps_a_signature_good(
    house: House, stamps: tuple[Path, Authority]
) -> None:
    root, authority = stamps
    stamp_root = certificate_in(root.read_bytes())
    seal = now_seal(house)
    # The signature claims a time long before in either case: whoever has the key can write any.
    content = sealed_pdf(seal, timezone.now() - timedelta(days=30), authority)
    stamped = timezone.now()
    row = SealCertificate.objects.get()
    revoke_seal(
        seal=row, revoking=compromised(stamped + timedelta(hours=1)), by=house.odile,
        at=stamped + timedelta(hours=2),
    )  # fmt: skip
    given = trust(house, stamp_root=stamp_root, stamp_root_given=True)
    assert checked(content, given).faults == ()
    came_along = checked(content, trust(house, stamp_root=stamp_root))
    assert "came with the file" in came_along.faults[0]
    with unguarded():
        SealRevoked.objects.update(not_trusted_from=stamped - timedelta(hours=1))
    later = trust(house, stamp_root=stamp_root, stamp_root_given=True)
    (fault,) = checked(content, later).faults
    assert "It was signed at" in fault
    assert fault.endswith("after that.")


def test_a_list_that_the_root_did_not_sign_revokes_nothing(house: House, tmp_path: Path) -> None:
    content = sealed_pdf(now_seal(house), timezone.now())
    row = SealCertificate.objects.get()
    since = timezone.now() - timedelta(days=1)
    revoke_seal(seal=row, revoking=compromised(since), by=house.odile, at=timezone.now())
    ring = ring_of(house.venue)
    other = type(ring)(tmp_path / "other", "x", ring.names, b"x")
    other.seal(timezone.now())
    forged = other.revocations(withdrawn_of(house.venue), timezone.now())
    known = trust(house)
    assert checked(content, Trust(known.root, (forged,))).verdict == "holds"
    assert checked(content, known).verdict == "does not hold"


def test_revoking_is_refused_twice_in_the_future_and_without_words(house: House) -> None:
    now_seal(house)
    row, now = SealCertificate.objects.get(), timezone.now()
    for wrong in (
        compromised(now + timedelta(hours=1)),
        Revoking("key_compromise", " ", now),
        Revoking("dislike", "Words", now),
    ):
        with pytest.raises(CannotChangeSeal):
            revoke_seal(seal=row, revoking=wrong, by=house.odile, at=now)
    assert not SealRevoked.objects.exists()
    revoke_seal(seal=row, revoking=compromised(now), by=house.odile, at=now)
    with pytest.raises(CannotChangeSeal, match="already"):
        revoke_seal(seal=row, revoking=compromised(now), by=house.odile, at=now)
    assert [each.number for each in SealCertificate.objects.order_by("number")] == [1, 2]


def test_the_keys_are_encrypted_anew_under_another_secret(
    house: House, settings: Settings, tmp_path: Path
) -> None:
    before = now_seal(house).fingerprint
    secret = tmp_path / "secret.txt"
    secret.write_text("another long secret that nobody would ever guess in a life\n")
    for _ in range(2):  # a run that was stopped is simply started again
        call_command("signing_keys", "--venue", "larkspur", "encrypt", new_secret=secret,
                     stdout=StringIO())  # fmt: skip
    with pytest.raises(KeysUnreadable):
        now_seal(house)
    settings.LOFTBOOK_KEY_SECRET = secret.read_text().strip()
    assert now_seal(house).fingerprint == before


def test_the_command_shows_renews_and_revokes(house: House) -> None:
    said = StringIO()
    command = ("signing_keys", "--venue", "larkspur")
    call_command(*command, "show", stdout=said)
    call_command(*command, "renew", "--why", "Every two years", stdout=said)
    call_command(
        *command, "revoke", "--seal", "1", "--reason", "superseded", "--words", "Tidied up",
        "--not-trusted-from", "2026-01-01T00:00+00:00", stdout=said,
    )  # fmt: skip
    call_command(*command, "show", stdout=said)
    text = said.getvalue()
    assert "Seal 2 signs from now on" in text
    assert "Seal 1 is revoked" in text
    assert "revoked from 2026-01-01 00:00 UTC" in text
    with pytest.raises(CommandError, match="zone"):
        call_command(*command, "revoke", "--seal", "2", "--reason", "superseded", "--words", "x",
                     "--not-trusted-from", "2026-01-01T00:00")  # fmt: skip


class HeldElsewhere(Signer):
    """Reaches the key by the library's interface, as a device's own signer does."""

    def __init__(self, certificate: x509.Certificate) -> None:
        der = certificate.public_bytes(serialization.Encoding.DER)
        super().__init__(
            signing_cert=asn1_x509.Certificate.load(der), cert_registry=SimpleCertificateStore()
        )

    async def async_sign_raw(
        self, data: bytes, digest_algorithm: str, dry_run: bool = False
    ) -> bytes:
        assert digest_algorithm == "sha256"
        return HELD["key"].sign(data, ec.ECDSA(hashes.SHA256()))


def signer_elsewhere(slug: str, certificate: x509.Certificate) -> Signer:
    assert slug == "larkspur"
    return HeldElsewhere(certificate)


def test_a_key_that_is_held_elsewhere_signs_reports_and_heads(
    house: House, settings: Settings, tmp_path: Path
) -> None:
    HELD["key"] = ec.generate_private_key(ec.SECP256R1())
    public = HELD["key"].public_key().public_bytes(
        serialization.Encoding.PEM, serialization.PublicFormat.SubjectPublicKeyInfo
    )  # fmt: skip
    (tmp_path / "public.pem").write_bytes(public)
    call_command("signing_keys", "--venue", "larkspur", "renew", "--why", "A device",
                 public_key=tmp_path / "public.pem", stdout=StringIO())  # fmt: skip
    with pytest.raises(KeysUnreadable, match="LOFTBOOK_SIGNER"):
        now_seal(house)
    settings.LOFTBOOK_SIGNER = "tests.inspections.test_seals.signer_elsewhere"
    seal = now_seal(house)
    assert not list((tmp_path / "keys").rglob("seal.key"))
    assert checked(sealed_pdf(seal, timezone.now()), trust(house)).verdict == "holds"
    sign_head(venue=house.venue, seal=seal, at=timezone.now())
    assert verify_log(venue=house.venue, at=timezone.now()).faults == []
    head = SignedHead.objects.latest("number")
    with unguarded():
        other = HELD["key"].sign(head.body.encode(), ec.ECDSA(hashes.SHA256()))
        SignedHead.objects.filter(pk=head.pk).update(signature=other.hex())
    (fault,) = verify_log(venue=house.venue, at=timezone.now()).faults
    assert "its signature is not one by a seal of the venue's root" in fault


def test_the_manager_makes_and_revokes_on_the_page_and_nobody_else_may(house: House) -> None:
    now_seal(house)
    pages = [reverse("renew_seal", args=["larkspur"]), reverse("revoke_seal", args=["larkspur", 1])]
    tam = Client()
    tam.force_login(house.tam)
    assert [tam.post(page, {"why": "x"}).status_code for page in pages] == [403, 403]
    odile = Client()
    odile.force_login(house.odile)
    assert odile.post(pages[0], {"why": "Every two years"}).status_code == 302
    sent = {"reason": "key_compromise", "words": "A stolen backup",
            "not_trusted_from": "2026-01-02T10:00"}  # fmt: skip
    assert odile.post(pages[1], sent).status_code == 302
    text = " ".join(tam.get(reverse("seals", args=["larkspur"])).content.decode().split())
    assert "Seal 2: signs now" in text
    assert "Seal 1: revoked" in text
    assert "A stolen backup" in text
    revoked = SealRevoked.objects.get()
    assert revoked.not_trusted_from == datetime(2026, 1, 2, 10, tzinfo=UTC)
    assert LogLine.objects.filter(did="revoke_seal", by=house.odile).count() == 1
