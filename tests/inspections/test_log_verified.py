"""The whole log is recomputed: what was changed, lost or added past Loftbook is found and told."""

from __future__ import annotations

import json
from base64 import b64decode, b64encode
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django_q.models import OrmQ
from pytest_django import Settings

from inspections import jobs
from inspections.actions.sign_head import sign_head
from inspections.actions.venue_seal import venue_seal
from inspections.actions.verify_log import verify_log
from inspections.models import HeadReceiver, Record, SignedHead
from tests.guards import unguarded
from tests.inspections.other_hash import naming_another_hash
from tests.inspections.proof_house import AT, House, make_proof_house, make_record
from venue.actions.log import Deed, write_lines
from venue.models import LogCheck, LogHead, LogLine, Person
from venue.queries.log_walk import MOST_FAULTS, walk_log

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house() -> House:
    """Forty lines or more, two records, two signed heads, somebody who is sent them."""
    house = make_proof_house()
    make_record(house)
    seal = venue_seal(house.venue, AT)
    sign_head(venue=house.venue, seal=seal, at=AT)
    make_record(house)
    deeds = [Deed("change_day", house.venue, None, {"day": str(day)}) for day in range(40)]
    write_lines(venue=house.venue, by=house.odile, at=AT, deeds=deeds)
    sign_head(venue=house.venue, seal=seal, at=AT + timedelta(days=1))
    HeadReceiver.objects.create(
        venue=house.venue, address="ines@insurer.example", whose="Ines Halloran", since=AT
    )
    return house


def faults(house: House) -> list[str]:
    return list(verify_log(venue=house.venue, at=timezone.now()).faults)


def page(person: Person, name: str = "log") -> str:
    client = Client()
    client.force_login(person)
    return client.get(reverse(name, args=["larkspur"])).content.decode()


def test_a_log_that_holds_is_said_to_hold_with_what_was_looked_at(house: House) -> None:
    check = verify_log(venue=house.venue, at=timezone.now())
    head = LogHead.objects.get(venue=house.venue)
    assert check.faults == []
    assert (check.size, check.root) == (head.size, head.root)
    assert (check.records, check.heads) == (2, 2)
    assert check.size > 40
    assert mail.outbox == []
    said = StringIO()
    call_command("verify_log", "--venue", "larkspur", stdout=said)
    assert said.getvalue().startswith(f"LOG OK: {head.size} lines, 2 records, 2 signed heads")
    assert Client().get("/healthz").json()["log"] == "holds"
    assert "does not hold" not in page(house.odile)


def change(rows: object, **fields: object) -> None:
    with unguarded():
        rows.update(**fields)  # type: ignore[attr-defined]


def rewrite_all(house: House) -> None:
    """By somebody who knows how it is hashed: line 4 says something else, and all is computed again."""
    from venue.merkle import Frontier, leaf_hash

    line = LogLine.objects.get(venue=house.venue, number=4)
    body = line.body.replace("larkspur", "larkspuR").replace("Larkspur", "LarkspuR")
    assert body != line.body
    label = json.loads(body)["label"]
    subject, by = json.loads(body)["subject"], json.loads(body)["by"]
    change(
        LogLine.objects.filter(pk=line.pk), body=body, label=label, subject=subject, by_name=by,
        sha256=leaf_hash(body.encode()).hex(),
    )  # fmt: skip
    tree = Frontier()
    for text in LogLine.objects.filter(venue=house.venue).order_by("number").values_list("body"):
        tree.add(leaf_hash(text[0].encode()))
    head = LogHead.objects.filter(venue=house.venue)
    change(head, root=tree.root().hex(), frontier=tree.hex())


def lines(house: House) -> object:
    return LogLine.objects.filter(venue=house.venue)


def remove(rows: object) -> None:
    with unguarded():
        rows.delete()  # type: ignore[attr-defined]


def add_record(house: House) -> None:
    """A copy of a record, put in past Loftbook."""
    record = Record.objects.earliest("at")
    record.pk = "00000000-0000-4000-8000-000000000001"
    record.save_base(raw=True, force_insert=True)


def name_another_hash(house: House) -> None:
    """In the list before the signature of a head; what was signed stays."""
    head = SignedHead.objects.get(venue=house.venue, number=1)
    other = naming_another_hash(b64decode(head.signature))
    change(SignedHead.objects.filter(pk=head.pk), signature=b64encode(other).decode())


def drop_guard(house: House) -> None:
    on = " on inspections_record" if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        if on:
            cursor.execute("set constraints all immediate")
        cursor.execute(f"drop trigger evidence_inspections_record_delete{on}")


TAMPERINGS: dict[str, tuple[Callable[[House], object], str]] = {
    "text": (
        lambda house: change(lines(house).filter(number=9), body='{"number":9}'), "Line 9: its text"),
    "column": (
        lambda house: change(lines(house).filter(number=9), by_name="Nobody"),
        "Line 9: the table says something else"),
    "line gone": (
        lambda house: remove(lines(house).filter(number=9)), "Line 10 stands where line 9 should be"),
    "last line gone": (
        lambda house: remove(lines(house).filter(
            number=LogHead.objects.get(venue=house.venue).size)), "Lines that are there: "),
    "head row": (
        lambda house: change(LogHead.objects.filter(venue=house.venue), root="0" * 64),
        "The root of the lines is not the one of the head row"),
    "all rewritten": (rewrite_all, "Signed head 2"),
    "signed head": (
        lambda house: change(SignedHead.objects.filter(number=1), root="0" * 64), "Signed head 1"),
    "signed head gone": (
        lambda house: remove(SignedHead.objects.filter(number=1)), "does not follow the one before"),
    "another hash named": (name_another_hash, "Signed head 1 ("),
    "record": (
        lambda house: change(
            Record.objects.filter(pk=Record.objects.earliest("at").pk), body="{}"), "was changed"),
    "record added": (add_record, "Of 1 record the log tells nothing"),
    "guard dropped": (drop_guard, "guard evidence_inspections_record_delete is gone"),
}  # fmt: skip


@pytest.mark.parametrize("how", TAMPERINGS)
def test_what_was_changed_past_loftbook_is_found_and_named(house: House, how: str) -> None:
    tamper, words = TAMPERINGS[how]
    assert faults(house) == []
    tamper(house)
    found = faults(house)
    assert any(words in each for each in found), found
    with pytest.raises(CommandError, match="does not hold"):
        call_command("verify_log", "--venue", "larkspur", stderr=StringIO())


def test_it_is_shouted_to_managers_and_holders_on_every_page_and_by_healthz(house: House) -> None:
    change(lines(house).filter(number=9), body='{"number":9}')  # type: ignore[attr-defined]
    assert faults(house)
    assert {each.to[0] for each in mail.outbox} == {house.odile.email, "ines@insurer.example"}
    assert "DOES NOT HOLD" in mail.outbox[0].subject
    assert "Line 9: its text" in mail.outbox[0].body
    health = Client().get("/healthz").json()
    assert (health["ok"], health["log"]) == (False, "does not hold")
    for name in ("log", "overview", "equipment_list"):
        assert "The log does not hold" in page(house.odile, name)
        assert "The log does not hold" not in page(house.tam, name)


def test_a_log_not_checked_lately_is_not_well(house: House) -> None:
    verify_log(venue=house.venue, at=timezone.now() - timedelta(days=4))
    assert Client().get("/healthz").json()["log"] == "not checked lately"
    assert Client().get("/healthz").json()["ok"] is False
    verify_log(venue=house.venue, at=timezone.now())
    assert Client().get("/healthz").json()["log"] == "holds"


def test_the_tick_signs_a_head_and_asks_for_one_check_a_day(house: House) -> None:
    heads = SignedHead.objects.filter(venue=house.venue).count()
    jobs.tick()
    jobs.tick()
    assert SignedHead.objects.filter(venue=house.venue).count() == heads + 1
    asked = [each for each in OrmQ.objects.all() if each.func() == jobs.CHECK]
    assert len(asked) == len({each.args() for each in asked}) >= 1
    assert jobs.check_log_of(house.venue.pk) == "holds"
    assert LogCheck.objects.filter(venue=house.venue).count() == 1


def test_keys_that_cannot_be_read_stop_neither_the_tasks_nor_the_check(
    house: House, settings: Settings, caplog: pytest.LogCaptureFixture
) -> None:
    settings.LOFTBOOK_KEY_SECRET = "another"
    assert jobs.tick() >= 1
    assert "daily work (signed head) of larkspur failed" in caplog.text
    assert any(each.func() == jobs.CHECK for each in OrmQ.objects.all())


def test_a_wholly_broken_log_names_fifty_faults_and_no_more(house: House) -> None:
    deeds = [Deed("change_day", house.venue, None, {"day": str(day)}) for day in range(60)]
    write_lines(venue=house.venue, by=None, at=datetime(2026, 2, 11, tzinfo=UTC), deeds=deeds)
    change(lines(house), sha256="0" * 64)
    size = LogHead.objects.get(venue=house.venue).size
    assert len(walk_log(house.venue, size, {0, 3}, lambda bodies: None).faults) == MOST_FAULTS
