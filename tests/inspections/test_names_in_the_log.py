"""The log refers to people by salted references: one can be forgotten and nothing breaks."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from allauth.account.models import EmailAddress
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.email_report import email_report
from inspections.actions.forget_person import CannotForget, forget_person
from inspections.actions.planning_settings import add_absence
from inspections.actions.task_feeds import renew_feed_of_person
from inspections.models import Absence, Finding, HeadReceiver, Report
from inspections.names_stay import NAMES_STAY
from inspections.queries.log_check import check_log
from tests.guards import unguarded
from tests.inspections.proof_house import AT, House
from tests.inspections.season import make_bundle, table
from venue.actions.log import Deed, write_line, write_lines
from venue.actions.people import add_competence, end_membership
from venue.models import KeptName, LogHead, LogLine, Membership, Person
from venue.person_references import REFERENCE, TextAbout, reference_of

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=400)
WORDS = "a person whose name was removed on"
CARD = "Hoist card TH-7731"


@pytest.fixture
def house(season: House) -> House:
    return season


def write(house: House, by: Person, **after: Any) -> LogLine:
    with transaction.atomic():
        return write_line(
            venue=house.venue, by=by, at=AT, did="change_venue", subject=house.venue, after=after
        )


def leave(house: House) -> None:
    """Tam has a card, was away, has a feed, and holds no role any more."""
    member = Membership.objects.get(person=house.tam)
    add_competence(
        membership=member, level="competent_person", certificate=CARD, issued_by="College",
        valid_from=date(2025, 1, 1), expires_on=date(2028, 1, 1), by=house.odile, at=AT,
    )  # fmt: skip
    add_absence(
        venue=house.venue, person=house.tam, first_day=date(2026, 4, 1), last_day=date(2026, 4, 9),
        why="Shoulder surgery", by=house.odile, at=AT,
    )  # fmt: skip
    renew_feed_of_person(venue=house.venue, person=house.tam, by=house.odile, at=AT)
    EmailAddress.objects.create(user=house.tam, email=house.tam.email, verified=True)
    end_membership(membership=member, by=house.odile, at=AT)


def forget(house: House, **changed: Any) -> int:
    said = {"basis": "law", "reason": "Asked for in writing, 3 March", "by": house.odile} | changed
    return forget_person(venue=house.venue, person=house.tam, at=LATER, **said)


@pytest.mark.both_databases
def test_a_line_says_references_and_the_side_table_what_they_stand_for(house: House) -> None:
    line = write(house, house.tam, person=house.odile, to=TextAbout("ines@insurer.example"))
    body = json.loads(line.body)
    said = {row.reference: row.said for row in KeptName.objects.in_venue(house.venue)}
    assert said[body["by"]] == "Tam Achterberg"
    assert said[body["after"]["person"]] == "Odile Varga"
    assert said[body["after"]["to"]] == "ines@insurer.example"
    assert line.by_name == body["by"]
    for word in ("Tam", "Odile", "ines@"):
        assert word not in line.body
    again = write(house, house.tam)
    assert again.by_name == line.by_name  # one row for a name, not one for a line
    assert write(house, house.odile, person=house.tam).by_name == body["after"]["person"]
    # Tam, Odile and Ines; Tam's certificate and who issued it
    assert KeptName.objects.in_venue(house.venue).count() == 5


def test_a_reference_has_a_salt_of_its_own_in_each_house(house: House) -> None:
    with transaction.atomic():
        studio = house.stranger.memberships.get().venue
        write_line(venue=studio, by=house.tam, at=AT, did="x", subject=studio)
    write(house, house.tam)
    one, other = KeptName.objects.filter(person=house.tam, said=house.tam.name)
    assert one.reference != other.reference
    assert len(one.salt) == 32
    assert one.salt != other.salt


def test_the_reference_is_what_sha256sum_says() -> None:
    salt, name = "0f" * 16, "Zoë O'Neill-Ng"
    words = ['printf \'%s %s\' "$0" "$1" | sha256sum', salt, name]
    found = subprocess.run(["sh", "-c", *words], capture_output=True, text=True, check=True)
    assert reference_of(salt, name) == f"person:{found.stdout.split()[0]}"


def test_a_known_writer_costs_no_question_more(house: House) -> None:
    write(house, house.tam)
    with CaptureQueriesContext(connection) as asked:
        write(house, house.tam)
    wanted = [each["sql"] for each in asked if "SAVEPOINT" not in each["sql"].upper()]
    assert len(wanted) == 3, wanted  # the head with the reference, the line, the head again


@pytest.mark.both_databases
def test_the_log_page_shows_the_names_and_asks_no_more_for_more_lines(house: House) -> None:
    client = Client()
    client.force_login(house.odile)
    asked = []
    for _ in range(2):
        deeds = [Deed("change_venue", house.venue) for _ in range(9)]
        with transaction.atomic():
            write_lines(venue=house.venue, by=house.tam, at=AT, deeds=deeds)
            write_lines(venue=house.venue, by=house.priya, at=AT, deeds=deeds)
        client.get(reverse("log", args=["larkspur"]))
        with CaptureQueriesContext(connection) as queries:
            html = client.get(reverse("log", args=["larkspur"])).content.decode()
        asked.append(len(queries))
        assert html.count("Tam Achterberg") >= 9
        assert "person:" not in html
    assert asked[0] == asked[1]


@pytest.mark.both_databases
def test_a_forgotten_person_breaks_nothing_and_is_still_somebody(house: House) -> None:
    leave(house)
    before = list(LogLine.objects.order_by("number").values_list("body", "sha256"))
    assert check_log(house.venue).faults == []
    gone = forget(house)
    assert gone == 6  # name, two certificates and who issued them, why they were away
    assert check_log(house.venue).faults == []
    assert list(LogLine.objects.order_by("number").values_list("body", "sha256"))[:-1] == before
    line = LogLine.objects.latest("number")
    assert (line.did, len(json.loads(line.body)["after"]["references"])) == ("forget_person", gone)
    client = Client()
    client.force_login(house.odile)
    html = client.get(reverse("log", args=["larkspur"])).content.decode()
    assert f"{WORDS} " in html
    assert "Achterberg" not in html
    assert str(Finding.objects.get().by).startswith(WORDS)
    house.tam.refresh_from_db()
    assert not house.tam.is_active
    assert not house.tam.has_usable_password()


@pytest.mark.both_databases
def test_the_name_is_nowhere_left_but_where_it_is_said_to_stay(house: House) -> None:
    email_report(
        report=Report.objects.get(), to="ines@insurer.example", note="", by=house.tam, at=AT
    )
    leave(house)
    words = ("Achterberg", house.tam.email, CARD, "Shoulder surgery")
    there = {place for word in words for place in places_of(word)}
    assert ("venue.KeptName", "said") in there
    assert ("venue.Person", "name") in there
    forget(house)
    left = {place for word in words for place in places_of(word)}
    allowed = {(name, column) for name, stays in NAMES_STAY.items() for column in stays.columns}
    assert left <= allowed, left - allowed
    assert ("venue.LogLine", "body") not in left
    assert ("inspections.Record", "by_name") in left  # a record says who looked
    assert not Absence.objects.filter(person=house.tam).exists()
    assert not EmailAddress.objects.filter(user=house.tam).exists()


def places_of(word: str) -> set[tuple[str, str]]:
    """Model and column of every text, in every table, in which the word stands."""
    found = set()
    for model in apps.get_models(include_auto_created=True):
        for field in model._meta.concrete_fields:
            if isinstance(field, models.CharField | models.TextField | models.JSONField):
                table, column = model._meta.db_table, field.column
                sql = f'select count(*) from {table} where cast("{column}" as text) like %s'
                with connection.cursor() as cursor:
                    cursor.execute(sql, [f"%{word}%"])
                    if cursor.fetchone()[0]:
                        found.add((model._meta.label, field.name))
    return found


@pytest.mark.both_databases
@pytest.mark.parametrize(
    "change",
    [
        {"said": "Somebody Else"}, {"said": ""}, {"said": "", "salt": ""}, {"salt": "0" * 32},
        {"removed_at": LATER}, {"said": "", "salt": "", "removed_at": None}, {"reference": "person:x"},
        {"said": "x", "salt": "", "removed_at": LATER},
        {"said": "", "salt": "", "removed_at": LATER, "person": None},
    ],
)  # fmt: skip
def test_the_database_lets_a_name_be_emptied_whole_and_nothing_else(
    house: House, change: dict[str, Any]
) -> None:
    write(house, house.tam)
    rows = KeptName.objects.filter(person=house.tam)
    with pytest.raises(IntegrityError, match="evidence is only ever added"), transaction.atomic():
        rows.update(**change)


@pytest.mark.both_databases
def test_a_removed_name_is_never_filled_again(house: House) -> None:
    write(house, house.tam)
    kept = KeptName.objects.get(person=house.tam, said=house.tam.name)
    rows = KeptName.objects.filter(pk=kept.pk)
    rows.update(said="", salt="", removed_at=LATER)
    for change in (
        {"said": kept.said, "salt": kept.salt},
        {"said": kept.said, "salt": kept.salt, "removed_at": None},
        {"removed_at": None},
        {"removed_at": LATER + timedelta(days=1)},
    ):
        refused = pytest.raises(IntegrityError, match="evidence is only ever added")
        with refused, transaction.atomic():
            rows.update(**change)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"basis": "whim"}, "on what ground"),
        ({"reason": " "}, "on what ground"),
        ({"reason": "tam achterberg asked"}, "without the name"),
        ({"by": "tam"}, "others"),
    ],
)
def test_forgetting_is_refused_in_words(house: House, change: dict[str, Any], why: str) -> None:
    write(house, house.tam)
    leave(house)
    if change.get("by"):
        change = {"by": house.tam}
    with pytest.raises(CannotForget, match=why):
        forget(house, **change)
    assert KeptName.objects.filter(person=house.tam, removed_at=None).exists()
    assert not LogLine.objects.filter(did="forget_person").exists()


def test_whoever_holds_a_role_is_named_and_nobody_is_forgotten_twice(house: House) -> None:
    write(house, house.tam)
    with pytest.raises(CannotForget, match="still hold a role"):
        forget(house)
    leave(house)
    forget(house)
    with pytest.raises(CannotForget, match="no name of theirs"):
        forget(house)


def test_a_name_another_house_still_has_keeps_its_sign_in(house: House) -> None:
    studio = house.stranger.memberships.get().venue
    with transaction.atomic():
        write_line(venue=studio, by=house.tam, at=AT, did="x", subject=studio)
    write(house, house.tam)
    leave(house)
    forget(house)
    house.tam.refresh_from_db()
    assert house.tam.name == "Tam Achterberg"
    assert KeptName.objects.get(person=house.tam, removed_at=None).venue == studio


def test_a_name_that_was_exchanged_is_found_by_the_nightly_check(house: House) -> None:
    write(house, house.tam)
    with unguarded():
        KeptName.objects.filter(person=house.tam).update(said="Priya Kestrel")
    assert any(
        "not the one that the log refers to" in each for each in check_log(house.venue).faults
    )


def test_a_reference_that_leads_nowhere_is_found_by_the_nightly_check(house: House) -> None:
    write(house, house.tam)
    with unguarded():
        KeptName.objects.filter(person=house.tam).delete()
    assert any("does not hold" in each for each in check_log(house.venue).faults)


def test_a_lost_reference_in_a_label_or_a_value_is_found_with_its_line(house: House) -> None:
    """And one that somebody typed into a text is not taken for a name."""
    for said in ("a label", "a value"):
        about = TextAbout(f"{said}@larkspur.example")
        after = (
            {"who": [about]} if said == "a value" else {"why": "person:" + "a" * 64 + " said so"}
        )
        receiver = HeadReceiver(venue=house.venue, address=about.said, whose=about.said)
        subject = house.venue if said == "a value" else receiver
        with transaction.atomic():
            write_line(venue=house.venue, by=None, at=AT, did="try", subject=subject, after=after)
    assert check_log(house.venue).faults == []
    with unguarded():
        KeptName.objects.filter(said__contains="@larkspur.example").delete()
    last = LogLine.objects.in_venue(house.venue).latest("number").number
    said_of = [each for each in check_log(house.venue).faults if "does not hold" in each]
    assert [each.split(" of the log")[0] for each in said_of] == [
        f"Line {last - 1}",
        f"Line {last}",
    ]


def run(bundle: Path, script: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-I", script], cwd=bundle, capture_output=True, text=True, check=False
    )


def test_a_bundle_withholds_the_names_unless_they_are_asked_for(
    house: House, tmp_path: Path
) -> None:
    bundle = make_bundle(house, tmp_path)
    assert {row["name"] + row["salt"] for row in table(bundle, "names")} == {""}
    assert len(table(bundle, "names")) == 4
    done = run(bundle, "verify_log.py")
    assert "names: 0 given, 4 withheld, 0 removed" in done.stdout, done.stdout
    assert run(bundle, "verify_tables.py").returncode == 0
    used = set(REFERENCE.findall((bundle / "data" / "log.jsonl").read_text()))
    assert used <= {row["reference"] for row in table(bundle, "names")}
    assert "The names are withheld" in (bundle / "README-VERIFY.txt").read_text()


@pytest.fixture
def named(house: House, tmp_path: Path) -> Path:
    """A bundle with the names, after somebody was forgotten."""
    leave(house)
    forget(house)
    return make_bundle(house, tmp_path, names=True)


def test_a_bundle_with_names_verifies_after_somebody_was_forgotten(named: Path) -> None:
    done = run(named, "verify_log.py")
    assert done.returncode == 0, done.stdout
    assert ", 0 withheld, 6 removed" in done.stdout
    for script in ("verify_complete.py", "verify_tables.py"):
        assert run(named, script).returncode == 0
    given = next(row for row in table(named, "names") if row["name"] == "Odile Varga")
    readme = (named / "README-VERIFY.txt").read_text()
    command = next(line.strip() for line in readme.splitlines() if "'NAME'" in line)
    asked = command.replace("SALT", given["salt"]).replace("NAME", given["name"])
    for words, count in ((asked, "1"), (asked.replace("Odile", "Adele"), "0")):
        said = subprocess.run(
            ["bash", "-c", words], cwd=named, capture_output=True, text=True, check=False
        )
        assert said.stdout.strip() == count
    assert "Achterberg" not in (named / "data" / "names.csv").read_text()


def test_a_name_that_was_changed_in_a_bundle_is_found_by_the_scripts(named: Path) -> None:
    names, remedies = named / "data" / "names.csv", named / "data" / "remedies.csv"
    for path, old, new, script, words in (
        (names, "Odile Varga", "Adele Varga", "verify_log.py", "not the reference of the name"),
        (names, "Odile Varga", "", "verify_log.py", "not the reference of the name"),
        (names, "person:", "person:0", "verify_log.py", "is not in names.csv"),
        (remedies, "Odile Varga", "Priya Kestrel", "verify_tables.py", "another by than the log"),
    ):
        text = path.read_text()
        assert old in text
        path.write_text(text.replace(old, new))
        done = run(named, script)
        assert done.returncode == 1
        assert words in done.stdout
        path.write_text(text)
    assert run(named, "verify_log.py").returncode == 0


def test_the_page_says_what_goes_and_what_stays_and_the_name_goes(house: House) -> None:
    leave(house)
    client = Client()
    client.force_login(house.odile)
    left = client.get(reverse("people_left", args=["larkspur"])).content.decode()
    where = reverse("forget_person", args=["larkspur", house.tam.pk])
    assert where in left
    html = client.get(where).content.decode()
    for words in (
        "6 references",
        "Records of checks (1)",
        "Signed reports (1)",
        "Backups",
        "typed",
    ):
        assert words in html
    unsure = client.post(where, {"basis": "law", "reason": "Asked for"})
    assert unsure.status_code == 200
    assert Person.objects.get(pk=house.tam.pk).name == "Tam Achterberg"
    client.post(where, {"basis": "law", "reason": "Asked for", "sure": "on"})
    assert Person.objects.get(pk=house.tam.pk).name.startswith(WORDS)
    after = client.get(reverse("people_left", args=["larkspur"])).content.decode()
    assert "The log does not name them" in after
    client.force_login(house.priya)
    assert client.get(where).status_code in {403, 404}
    assert LogHead.objects.get(venue=house.venue).size == LogLine.objects.count()
