"""Signed heads: signed with the seal, each naming the one before, held by somebody outside."""

from __future__ import annotations

import base64
import hashlib
import json
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from inspections.actions.issue_report import issue_report
from inspections.actions.mail_heads import (
    ReceiverThere,
    add_head_receiver,
    end_head_receiver,
    mail_heads,
)
from inspections.actions.sign_head import sign_head
from inspections.actions.venue_seal import venue_seal
from inspections.evidence import verify_proof
from inspections.models import HeadReceiver, HeadSent, SignedHead
from inspections.reports.words import MEANINGS
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.proof_house import AT, House, make_proof_house, make_record
from tests.mail_server import MailServer, mail_server
from venue.actions.log import Deed, write_lines
from venue.models import LogHead, LogLine, Person

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

DAY = timedelta(days=1)
SCRIPT = Path(verify_proof.__file__)


@pytest.fixture
def house() -> House:
    house = make_proof_house()
    write(house, 5)
    return house


def write(house: House, count: int) -> None:
    deeds = [Deed("change_day", house.venue, None, {"day": str(day)}) for day in range(count)]
    write_lines(venue=house.venue, by=house.odile, at=AT, deeds=deeds)


def sign(house: House, days: int = 0) -> SignedHead:
    seal = venue_seal(house.venue, AT)
    return sign_head(venue=house.venue, seal=seal, at=AT + days * DAY)


def receive(house: House) -> HeadReceiver:
    return add_head_receiver(
        venue=house.venue, address="ines@insurer.example", whose="Ines Halloran", by=house.odile, at=AT
    )  # fmt: skip


def openssl_says(folder: Path, body: bytes, signature: bytes, root: bytes) -> str:
    for name, content in (("head", body), ("head.p7s", signature), ("root.pem", root)):
        (folder / name).write_bytes(content)
    return said_by(
        tool("openssl", "openssl"), "cms", "-verify", "-binary", "-inform", "DER", "-in", "head.p7s",
        "-content", "head", "-CAfile", "root.pem", "-out", "/dev/null", folder=folder,
    )  # fmt: skip


def test_a_head_says_size_root_and_the_one_before_and_openssl_verifies_it(
    house: House, tmp_path: Path
) -> None:
    first = sign(house)
    write(house, 2)
    second = sign(house, 1)
    said = json.loads(second.body)
    log = LogHead.objects.get(venue=house.venue)
    assert (said["head"], said["size"], said["root"]) == ("2", str(log.size), log.root)
    assert said["venue"] == house.venue.name
    assert said["previous_head_sha256"] == hashlib.sha256(first.body.encode()).hexdigest()
    assert json.loads(first.body)["previous_head_sha256"] == ""
    root = venue_seal(house.venue, AT).root_pem
    body, signature = second.body.encode(), base64.b64decode(second.signature)
    assert "successful" in openssl_says(tmp_path, body, signature, root)
    changed = body.replace(b'"head":"2"', b'"head":"3"')
    assert "successful" not in openssl_says(tmp_path, changed, signature, root)


def test_each_issued_report_has_a_head_that_covers_its_own_line(house: House) -> None:
    record = make_record(house)
    issue_report(venue=house.venue, records=[record], signer=house.tam, meaning=MEANINGS[0], at=AT)
    line = LogLine.objects.get(did="issue_report")
    assert SignedHead.objects.get().size == line.number


@pytest.fixture
def server(settings: Settings) -> Iterator[MailServer]:
    with mail_server() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        yield server


def test_a_head_goes_out_by_mail_once_a_day_with_what_checks_it(
    house: House, server: MailServer, tmp_path: Path
) -> None:
    receiver = receive(house)
    first = sign(house)
    assert mail_heads(at=AT) == 1
    assert mail_heads(at=AT + timedelta(minutes=5)) == 0
    ((to, message),) = server.taken
    assert to == ["ines@insurer.example"]
    words = message.get_body().get_content()  # type: ignore[union-attr]
    for told in (first.root, f"size  {first.size}\r\n", first.sha256, "openssl cms -verify"):
        assert told in words
    body, signature = (part.get_content() for part in message.iter_attachments())
    root = venue_seal(house.venue, AT).root_pem
    assert body == first.body.encode()
    assert "successful" in openssl_says(tmp_path, body, signature, root)
    write(house, 8)
    second = sign(house, 1)
    assert mail_heads(at=AT + DAY) == 1
    later = server.taken[1][1].get_body().get_content()  # type: ignore[union-attr]
    path = [line for line in later.splitlines() if len(line) == 64]
    assert verify_proof.consistent(
        first.size, bytes.fromhex(first.root), second.size, bytes.fromhex(second.root),
        [bytes.fromhex(text) for text in path],
    )  # fmt: skip
    assert len(path) >= 2
    assert HeadSent.objects.filter(receiver=receiver).count() == 2


def test_a_mail_server_that_is_gone_is_tried_again_and_stops_nothing(
    house: House, settings: Settings, caplog: pytest.LogCaptureFixture
) -> None:
    receive(house)
    sign(house)
    with mail_server() as gone:
        port = gone.port
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
    assert mail_heads(at=AT) == 0
    assert "could not be sent to ines@insurer.example" in caplog.text
    assert not HeadSent.objects.exists()
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    assert mail_heads(at=AT + timedelta(minutes=5)) == 1
    assert len(mail.outbox) == 1


def test_an_address_is_named_once_and_ended_once_and_both_are_logged(house: House) -> None:
    receiver = receive(house)
    with pytest.raises(ReceiverThere, match="already"):
        receive(house)
    sign(house)
    end_head_receiver(receiver=receiver, by=house.odile, at=AT + DAY)
    end_head_receiver(receiver=receiver, by=house.odile, at=AT + DAY)
    assert mail_heads(at=AT + DAY) == 0
    deeds = LogLine.objects.filter(did__endswith="head_receiver").order_by("number")
    assert [line.did for line in deeds] == ["add_head_receiver", "end_head_receiver"]
    receive(house)
    assert mail_heads(at=AT + DAY) == 1


def as_seen(person: Person, name: str, post: dict[str, str] | None = None) -> Any:
    client = Client()
    client.force_login(person)
    address = reverse(name, args=["larkspur"])
    return client.post(address, post, follow=True) if post else client.get(address)


def test_the_page_says_that_nobody_holds_the_heads_and_the_manager_names_one(house: House) -> None:
    assert (
        "Nobody outside the house is sent the heads"
        in as_seen(house.odile, "heads").content.decode()
    )
    typed = {"to": "ines@insurer.example", "whose": "Ines Halloran"}
    told = as_seen(house.odile, "add_head_receiver", typed).content.decode()
    assert "Ines Halloran" in told
    assert "Nothing sent yet" in told
    again = as_seen(house.odile, "add_head_receiver", typed).content.decode()
    assert "already" in again
    head = sign(house)
    seen = as_seen(house.tam, "heads").content.decode()
    assert head.root in seen
    assert "Add an address" not in seen


def prove(*asked: str) -> dict[str, Any]:
    said = StringIO()
    call_command("prove_log", "--venue", "larkspur", *asked, stdout=said)
    return dict(json.loads(said.getvalue()))


def script_says(proof: dict[str, Any], folder: Path) -> subprocess.CompletedProcess[str]:
    path = folder / "proof.json"
    path.write_text(json.dumps(proof))
    return subprocess.run(
        [sys.executable, "-I", SCRIPT, path], capture_output=True, text=True, check=False
    )


def test_a_printed_proof_is_checked_by_the_script_alone(house: House, tmp_path: Path) -> None:
    kept = sign(house)
    write(house, 9)
    proof = prove("--kept", str(kept.size))
    assert (proof["old"]["root"], proof["old"]["size"]) == (kept.root, str(kept.size))
    said = script_says(proof, tmp_path)
    assert said.returncode == 0, said.stdout + said.stderr
    assert f"old head: {kept.size} {kept.root}" in said.stdout
    changed = proof | {"old": proof["old"] | {"root": "0" * 64}}
    assert script_says(changed, tmp_path).returncode == 1
    line = prove("--line", "3")
    said = script_says(line, tmp_path)
    assert said.stdout.startswith("PROOF OK: line 3 is in the log"), said.stdout + said.stderr
    assert script_says(line | {"line": line["line"] + " "}, tmp_path).returncode == 1
    for wrong in (("--kept", "99"), ("--line", "99"), ("--kept", "0"), ("--line", "0")):
        with pytest.raises(CommandError, match="cannot be proven"):
            prove(*wrong)
