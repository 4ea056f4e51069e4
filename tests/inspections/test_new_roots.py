"""A new root is told across by the old one: whoever has the old root follows, and nobody else leads."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import timedelta
from hashlib import sha256
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from asn1crypto.x509 import Certificate
from cryptography import x509
from django.core import mail
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from inspections.actions.change_seal import CannotChangeSeal, renew_root
from inspections.actions.mail_heads import add_head_receiver, mail_heads
from inspections.actions.venue_seal import venue_seal
from inspections.evidence.checking.checked import Checked
from inspections.evidence.checking.seals import certificate_in
from inspections.evidence.checking.whole import Known, check_evidence
from inspections.evidence.manifest_seal import detached_signature
from inspections.models import SignedHead
from inspections.queries.evidence_rows import TALLIES
from inspections.queries.log_check import check_log
from inspections.reports.keys import Seal, seal_of
from tests.inspections.conftest import Kept
from tests.inspections.other_hash import naming_another_hash
from tests.inspections.proof_house import AT, House
from tests.inspections.season import packed_bundle, run, unpacked_bundle
from tests.inspections.test_verify_evidence import packed
from tests.tamper.rebag import rebag, reseal
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def moved(season: House) -> Iterator[tuple[House, Seal, Seal]]:
    """The house, its seal under the old root, and the one under the new root."""
    old = venue_seal(season.venue, AT)
    renew_root(venue=season.venue, why="Every ten years", by=season.odile, at=AT)
    return season, old, venue_seal(season.venue, AT)


@pytest.fixture
def bag(moved: tuple[House, Seal, Seal], tmp_path: Path) -> Path:
    """Its report was signed under the old root, the bundle is sealed under the new one."""
    return unpacked_bundle(packed_bundle(moved[0], tmp_path / "evidence.zip"), tmp_path / "b")


def root_of(seal: Seal) -> Certificate:
    return certificate_in(seal.root_pem)


def wrong(bag: Path, **known: Any) -> list[Checked]:
    points = check_evidence(packed(bag), Known(tallies=TALLIES, **known))
    return [point for point in points if point.faults]


def test_a_new_root_is_in_the_log_with_the_old_one_and_what_it_signed(
    moved: tuple[House, Seal, Seal],
) -> None:
    house, old, new = moved
    assert old.root_fingerprint != new.root_fingerprint
    line = LogLine.objects.get(did="renew_root")
    after = json.loads(line.body)["after"]
    assert (after["old_root_sha256"], after["root_sha256"]) == (
        old.root_fingerprint, new.root_fingerprint,
    )  # fmt: skip
    assert line.by == house.odile
    statement = next(Path(path) for path in _keys(house).glob("seal-2/new-root.json"))
    assert sha256(statement.read_bytes()).hexdigest() == after["statement_sha256"]
    with pytest.raises(CannotChangeSeal, match="Say why"):
        renew_root(venue=house.venue, why=" ", by=house.odile, at=AT)


def _keys(house: House) -> Path:
    from django.conf import settings

    return Path(settings.LOFTBOOK_KEYS) / house.venue.slug


def test_heads_under_both_roots_hold_in_the_nightly_check(
    moved: tuple[House, Seal, Seal],
) -> None:
    house, _, _ = moved
    assert SignedHead.objects.filter(venue=house.venue).count() >= 2
    assert check_log(house.venue).faults == []


def test_a_bundle_holds_for_whoever_has_the_old_root_or_its_fingerprint_or_the_new_one(
    moved: tuple[House, Seal, Seal], bag: Path
) -> None:
    _, old, new = moved
    assert wrong(bag, root=root_of(old)) == []
    assert wrong(bag, fingerprint=old.root_fingerprint) == []
    assert wrong(bag, root=root_of(new), fingerprint=new.root_fingerprint) == []
    points = check_evidence(packed(bag), Known(tallies=TALLIES, root=root_of(old)))
    (told,) = [point for point in points if point.name == "New roots"]
    assert told.verdict == "holds"
    assert f"{old.root_fingerprint[:16]} handed over to {new.root_fingerprint[:16]}" in told.words


def test_the_readme_says_how_to_follow_with_openssl(
    moved: tuple[House, Seal, Seal], bag: Path
) -> None:
    _, old, new = moved
    text = (bag / "README-VERIFY.txt").read_text()
    told = [line.strip() for line in text.splitlines() if re.match(r"    \S.*roots/root-", line)]
    first, statement, last, together = told
    assert run(first, bag).stdout.strip().replace(":", "").lower().endswith(old.root_fingerprint)
    assert "successful" in run(statement, bag).stderr
    assert run(last, bag).stdout.strip().replace(":", "").lower().endswith(new.root_fingerprint)
    assert run(together, bag).returncode == 0
    (seals,) = [line.strip() for line in text.splitlines() if "all-lists.pem certificates" in line]
    said = run(seals, bag)
    assert said.stdout.split() == [
        "certificates/seal-1.pem:",
        "OK",
        "certificates/seal-2.pem:",
        "OK",
    ], said
    path = bag / "roots" / "new-root-2.json"
    assert json.loads(path.read_bytes())["new_root_sha256"] == new.root_fingerprint
    path.write_bytes(path.read_bytes().replace(b'"at":"2', b'"at":"1'))
    assert run(statement, bag).returncode != 0
    # A seal of the old root may not hand over.
    (bag / "roots" / "new-root-2.json.p7s").write_bytes(detached_signature(path.read_bytes(), old))
    assert run(statement, bag).returncode != 0


def test_nobody_leads_to_a_root_of_their_own_with_a_seal_of_the_old_one(
    moved: tuple[House, Seal, Seal], bag: Path, tmp_path: Path
) -> None:
    """All in the bundle is right in itself; the thief has the old seal's key, not the old root's."""
    _, old, new = moved
    thief = seal_of(tmp_path / "thief", "larkspur", "The Larkspur", "Larkspur Trust", b"t", AT)
    path = bag / "roots" / "new-root-2.json"
    said = json.loads(path.read_bytes()) | {"new_root_sha256": thief.root_fingerprint}
    path.write_text(json.dumps(said))
    path.with_name(f"{path.name}.p7s").write_bytes(detached_signature(path.read_bytes(), old))
    for name in ("root-certificate.pem", "roots/root-2.pem"):
        (bag / name).write_bytes(thief.root_pem)
    rebag(bag)
    reseal(bag, thief)
    faults = {point.name: point.faults for point in wrong(bag, root=root_of(old))}
    assert "new-root-2.json: the old root did not sign this." in faults["New roots"]
    assert (
        "The root certificate you know does not lead to the one of this bundle."
        in faults["New roots"]
    )
    assert "The seal" in faults
    assert "The seal" in {point.name for point in wrong(bag, root=root_of(new))}


def test_a_statement_whose_signature_names_another_hash_than_it_used_leads_nowhere(
    moved: tuple[House, Seal, Seal], bag: Path
) -> None:
    path = bag / "roots" / "new-root-2.json.p7s"
    path.write_bytes(naming_another_hash(path.read_bytes()))
    rebag(bag)
    reseal(bag, moved[2])
    faults = {point.name: point.faults for point in wrong(bag, root=root_of(moved[1]))}
    assert "new-root-2.json: the old root did not sign this." in faults["New roots"]


def test_a_root_that_was_told_across_twice_is_followed_twice(
    moved: tuple[House, Seal, Seal], tmp_path: Path
) -> None:
    house, old, _ = moved
    renew_root(venue=house.venue, why="Once more", by=house.odile, at=AT)
    out = packed_bundle(house, tmp_path / "again.zip")
    bag = unpacked_bundle(out, tmp_path / "again")
    assert wrong(bag, root=root_of(old)) == []
    (bag / "roots" / "new-root-2.json").unlink()
    (bag / "roots" / "new-root-2.json.p7s").unlink()
    rebag(bag)
    assert "New roots" in {point.name for point in wrong(bag, root=root_of(old))}


def test_the_mail_of_the_next_head_says_how_to_follow_and_brings_what_is_needed(
    moved: tuple[House, Seal, Seal], tmp_path: Path
) -> None:
    house, old, new = moved
    add_head_receiver(
        venue=house.venue, address="ines@insurer.example", whose="Ines", by=house.odile, at=AT
    )
    assert mail_heads(at=AT + timedelta(days=1)) == 1
    (sent,) = mail.outbox
    for name, content, _ in sent.attachments:
        (tmp_path / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    assert new.root_fingerprint in sent.body
    told = sent.body.replace("\\\n", " ").splitlines()
    first, statement, last = [
        line.strip() for line in told if line.startswith("    openssl") and "root-" in line
        and "root-certificate" not in line
    ]  # fmt: skip
    assert (
        run(first, tmp_path).stdout.strip().replace(":", "").lower().endswith(old.root_fingerprint)
    )
    assert "successful" in run(statement, tmp_path).stderr
    assert (
        run(last, tmp_path).stdout.strip().replace(":", "").lower().endswith(new.root_fingerprint)
    )


def test_each_root_has_its_own_revocation_list_at_its_own_address(
    moved: tuple[House, Seal, Seal],
) -> None:
    _, old, new = moved
    for seal in (old, new):
        answer = Client().get(reverse("revocations", args=[seal.root_fingerprint]))
        told = x509.load_der_x509_crl(answer.content)
        assert told.is_signature_valid(seal.root.public_key())  # type: ignore[arg-type]


def test_the_command_makes_a_new_root_and_says_its_fingerprint(season: House) -> None:
    said = StringIO()
    call_command("signing_keys", "--venue", "larkspur", "new-root", "--why", "Tried", stdout=said)
    assert venue_seal(season.venue, AT).root_fingerprint in said.getvalue()


def test_a_house_with_one_root_says_nothing_of_others(
    season_zip: Path, season_rows: Kept, tmp_path: Path
) -> None:
    bag = unpacked_bundle(season_zip, tmp_path)
    assert not (bag / "roots").exists()
    assert "MORE THAN ONE ROOT" not in (bag / "README-VERIFY.txt").read_text()
