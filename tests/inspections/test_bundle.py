"""An evidence bundle is complete, says so, and is checked by its own README's commands."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import subprocess
import zipfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from pytest_django import Settings

from inspections.actions import export_evidence as exporting
from inspections.actions.export_evidence import ExportFailed, export_evidence
from inspections.actions.issue_report import issue_report
from inspections.actions.receive_message import keep_aside
from inspections.actions.venue_seal import venue_seal
from inspections.evidence.readme import README
from inspections.models import PhoneSignature, Remedy, ReturnToService, Sent
from inspections.reports.words import MEANINGS
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.proof_house import (
    AT,
    DAY,
    House,
    answer_said,
    make_finding,
    make_proof_house,
    make_record,
    make_task,
    tell,
)
from tests.venue.trees import root
from venue.actions.log import write_line
from venue.file_store import path_of
from venue.log_hash import sha256_of
from venue.models import KeptFile, LogLine

START, END = date(2026, 2, 1), date(2026, 2, 28)

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(settings: Settings, tmp_path_factory: pytest.TempPathFactory) -> House:
    settings.LOFTBOOK_FILES = tmp_path_factory.mktemp("files")
    return make_proof_house()


def make_bundle(house: House, folder: Path, start: date = START, end: date = END) -> Path:
    """The unpacked bundle."""
    out = folder / f"{start}-{end}.zip"
    export_evidence(venue=house.venue, start=start, end=end, out=out, by=house.odile, at=AT)
    with zipfile.ZipFile(out) as packed:
        assert packed.testzip() is None
        packed.extractall(folder / out.stem)
    return folder / out.stem / f"bundle-larkspur-{start}-{end}"


def make_season(house: House) -> None:
    """One of everything, in February."""
    record = make_record(house)
    finding = make_finding(house, record)
    remedy = Remedy.objects.create(
        finding=finding, what="Rope changed", by=house.odile, at=AT + timedelta(days=1)
    )
    back = ReturnToService.objects.create(
        order=finding.orders.get(), remedy=remedy, remedied_by=house.odile, by=house.tam,
        by_name=house.tam.name, by_competence="Competent person", statement="Examined, in order.",
        at=AT + timedelta(days=2),
    )  # fmt: skip
    tell(house, "record_remedy", remedy, "what")
    with transaction.atomic():
        write_line(
            venue=house.venue, by=house.tam, at=back.at, did="return_to_service", subject=back,
            after={"statement": back.statement, "remedied_by": house.odile.name},
        )  # fmt: skip
    sent = Sent.objects.create(
        id=record.pk, venue=house.venue, what="check", by=house.tam, body="{}", record=record,
        sha256=sha256_of("{}"), received_at=AT, earliest_at=AT, latest_at=AT,
    )  # fmt: skip
    PhoneSignature.objects.create(sent=sent, by=house.tam, how="password", received_at=AT)
    make_task(house, 1, DAY, state="done", done_on=DAY)
    make_task(house, 2, date(2026, 2, 2), state="done", done_on=DAY)
    make_task(house, 3, date(2026, 2, 5), deferred_why="=The set was up")
    make_task(house, 4, date(2026, 2, 20), state="cancelled", closed_why="Set struck")
    make_task(house, 5, date(2026, 2, 27))
    make_task(house, 6, date(2026, 1, 2))
    make_task(house, 7, date(2026, 5, 1))
    issue_report(venue=house.venue, records=[record], signer=house.tam, meaning=MEANINGS[0], at=AT)


def table(bundle: Path, name: str) -> list[dict[str, str]]:
    text = (bundle / "data" / f"{name}.csv").read_text(encoding="utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def completeness(bundle: Path) -> dict:
    return json.loads((bundle / "data" / "completeness.json").read_text())


def readme_commands(bundle: Path) -> list[str]:
    text = (bundle / "README-VERIFY.txt").read_text()
    # Four spaces and a word: a command, or the fingerprint to compare with.
    return [line.strip() for line in text.splitlines() if re.match(r" {4}\S", line)]


def run(command: str, bundle: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["bash", "-c", command], cwd=bundle, capture_output=True, text=True, check=False
    )


def test_the_commands_of_the_readme_say_that_everything_is_right(
    house: House, tmp_path: Path
) -> None:
    for name, package in (("certutil", "libnss3-tools"), ("pdfsig", "poppler-utils")):
        tool(name, package)
    make_season(house)
    bundle = make_bundle(house, tmp_path)
    commands = readme_commands(bundle)
    assert len(commands) == 18
    fingerprint = run(commands[0], bundle).stdout
    assert fingerprint.strip().endswith(commands[1])
    kept = run(commands[17], bundle)
    by_hand = slice(15, 17)  # in the folder of one signature: see test_a_stranger_verifies.py
    assert all("signed-bytes.bin" in command for command in commands[by_hand])
    cms, sums, head, log, complete, tables, signed, seals, told, extra, trust, sig, detach = (
        run(each, bundle) for each in commands[2:15]
    )
    assert "SIGNATURES OK: 0 by passkey; 1 by password" in signed.stdout + signed.stderr
    assert "successful" in cms.stdout + cms.stderr
    assert "ALL FILES OK" in sums.stdout
    assert "successful" in head.stdout + head.stderr
    assert seals.stdout == "certificates/seal-1.pem: OK\n", seals.stdout + seals.stderr
    assert "No Revoked Certificates." in told.stdout
    assert "LOG OK: 7 lines, 1 records, 1 reports" in log.stdout, log.stdout + log.stderr
    assert "KEPT OK: it begins with the 7 lines" in kept.stdout, kept.stdout + kept.stderr
    assert "TABLES OK: 1 records and 5 other rows" in tables.stdout, tables.stdout + tables.stderr
    assert "COMPLETE: 6 deeds of these days" in complete.stdout, complete.stdout + complete.stderr
    assert set(extra.stdout.split()) == {
        "signatures/tagmanifest-sha256.txt.p7s", "tagmanifest-sha256.txt"
    }  # fmt: skip
    assert trust.returncode == 0
    assert "Signature is Valid." in sig.stdout
    assert "Certificate is Trusted." in sig.stdout
    assert table(bundle, "reports")[0]["record.json sha256"] in detach.stdout


def test_shasum_gives_the_same_answer_as_sha256sum(house: House, tmp_path: Path) -> None:
    shasum = tool("shasum", "perl")
    make_season(house)
    bundle = make_bundle(house, tmp_path)
    said = said_by(shasum, "-a", "256", "-c", "manifest-sha256.txt", folder=bundle)
    assert said.endswith("exit code 0")
    assert "FAILED" not in said


@pytest.mark.parametrize(
    ("name", "command"),
    [("data/tasks.csv", 3), ("manifest-sha256.txt", 3), ("tagmanifest-sha256.txt", 2)],
)
def test_a_changed_file_is_found(house: House, tmp_path: Path, name: str, command: int) -> None:
    make_season(house)
    bundle = make_bundle(house, tmp_path)
    path = bundle / name
    path.write_bytes(path.read_bytes().replace(b"0", b"1", 1))
    done = run(readme_commands(bundle)[command], bundle)
    assert done.returncode != 0
    assert "OK" not in done.stdout


@pytest.mark.parametrize("change", ["edit", "drop", "drop last", "swap", "blank line"])
def test_a_rewritten_log_is_found_by_the_script(house: House, tmp_path: Path, change: str) -> None:
    make_season(house)
    bundle = make_bundle(house, tmp_path)
    log = bundle / "data" / "log.jsonl"
    lines = log.read_text().splitlines()
    edited = lines[0].replace("retire", "fit")
    assert edited != lines[0]
    changed = {
        "edit": [edited, *lines[1:]],
        "drop": lines[1:],
        "drop last": lines[:-1],
        "swap": [lines[1], lines[0], *lines[2:]],
        "blank line": [lines[0] + " ", *lines[1:]],
    }[change]
    log.write_text("\n".join(changed) + "\n")
    done = run("python3 -I verify_log.py", bundle)
    assert done.returncode == 1
    assert "WRONG" in done.stdout
    assert "LOG OK" not in done.stdout


def test_a_log_rewritten_and_sealed_again_is_found_by_who_kept_a_head(
    house: House, tmp_path: Path
) -> None:
    make_season(house)
    kept = completeness(make_bundle(house, tmp_path))["log"]
    asked = f"python3 -I verify_log.py --kept {kept['lines']} {kept['root']}"
    make_record(house)
    later = make_bundle(house, tmp_path, date(2026, 2, 1), date(2026, 2, 27))
    assert f"KEPT OK: it begins with the {kept['lines']} lines" in run(asked, later).stdout
    rewrite(later, house)
    assert "LOG OK" in run("python3 -I verify_log.py", later).stdout
    done = run(asked, later)
    assert done.returncode == 1
    assert "does not begin with the" in done.stdout
    assert "LOG OK" not in done.stdout
    longer = run(f"python3 -I verify_log.py --kept 99 {kept['root']}", later)
    assert "has only" in longer.stdout
    assert longer.returncode == 1


def rewrite(bundle: Path, house: House) -> None:
    """As whoever holds the server could: another first line, and the root that goes with it."""
    log = bundle / "data" / "log.jsonl"
    lines = log.read_bytes().splitlines()
    assert b"retire" in lines[0]
    lines[0] = lines[0].replace(b"retire", b"fit")
    log.write_bytes(b"\n".join(lines) + b"\n")
    leaves = [hashlib.sha256(b"\0" + line).digest() for line in lines]
    said, told = bundle / "data" / "completeness.json", completeness(bundle)
    said.write_text(json.dumps(told | {"log": told["log"] | {"root": root(leaves).hex()}}))
    heads, previous = bundle / "data" / "heads.jsonl", ""
    made = []
    for text in heads.read_text().splitlines():
        head = json.loads(text)
        new = {"root": root(leaves[: int(head["size"])]).hex(), "previous_head_sha256": previous}
        made.append(json.dumps(head | new))
        previous = sha256_of(made[-1])
    heads.write_text("\n".join(made) + "\n")
    (bundle / "data" / "head.json").write_text(made[-1])


@pytest.mark.parametrize("change", ["root", "drop", "last", "swap"])
def test_a_signed_head_that_was_changed_is_found_by_the_script(
    house: House, tmp_path: Path, change: str
) -> None:
    make_season(house)
    bundle = make_bundle(house, tmp_path)
    path = bundle / "data" / "heads.jsonl"
    heads = path.read_text().splitlines()
    assert len(heads) == 2
    changed = {
        "root": [heads[0].replace('"root":"', '"root":"0'), heads[1]],
        "drop": heads[1:],
        "last": heads[:-1],
        "swap": heads[::-1],
    }[change]
    path.write_text("\n".join(changed) + "\n")
    done = run("python3 -I verify_log.py", bundle)
    assert done.returncode == 1
    assert "head" in done.stdout
    assert "LOG OK" not in done.stdout


def test_a_hash_of_the_log_from_before_it_was_a_tree_still_counts(
    house: House, tmp_path: Path
) -> None:
    make_season(house)
    bundle = make_bundle(house, tmp_path)
    chain = ""
    for line in (bundle / "data" / "log.jsonl").read_text().splitlines()[:2]:
        chain = hashlib.sha256(f"{chain}\n{line}".encode()).hexdigest()
    assert "KEPT OK" in run(f"python3 -I verify_log.py --kept 2 {chain}", bundle).stdout
    assert run(f"python3 -I verify_log.py --kept 1 {chain}", bundle).returncode == 1


@pytest.mark.parametrize("folder", ["records", "reports"])
def test_a_changed_record_or_report_is_found_by_the_script(
    house: House, tmp_path: Path, folder: str
) -> None:
    make_season(house)
    bundle = make_bundle(house, tmp_path)
    path = next((bundle / "data" / folder).iterdir())
    path.write_bytes(path.read_bytes() + b" ")
    done = run("python3 -I verify_log.py", bundle)
    assert done.returncode == 1
    assert "WRONG" in done.stdout


def test_every_task_is_there_with_how_it_came_out_and_why(house: House, tmp_path: Path) -> None:
    make_season(house)
    rows = {row["due on"]: row for row in table(make_bundle(house, tmp_path), "tasks")}
    assert {day: row["outcome"] for day, row in rows.items()} == {
        "2026-02-10": "done in time", "2026-02-02": "done late", "2026-02-05": "missed, still open",
        "2026-02-20": "cancelled", "2026-02-27": "open", "2026-01-02": "missed, still open",
    }  # fmt: skip
    assert rows["2026-02-05"]["put off because"] == "'=The set was up"
    assert rows["2026-02-20"]["closed because"] == "Set struck"


def test_the_counts_tell_of_what_the_chosen_days_leave_out(house: House, tmp_path: Path) -> None:
    make_season(house)
    said = completeness(make_bundle(house, tmp_path))
    assert said["counts"]["tasks"] == {
        "in this bundle": 6, "counted in these days": 6, "in the whole book": 7
    }  # fmt: skip
    assert said["by outcome"]["tasks"]["missed, still open"] == 2
    assert said["by outcome"]["answers"]["could_not_look"] == 1
    assert said["counts"]["judgements"]["in this bundle"] == 3
    assert len(said["counts"]) == 14
    march = completeness(make_bundle(house, tmp_path, date(2026, 3, 1), date(2026, 3, 31)))
    assert march["counts"]["records"] == {
        "in this bundle": 0, "counted in these days": 0, "in the whole book": 1
    }  # fmt: skip


def test_both_days_are_included_and_days_are_the_venues_own(house: House, tmp_path: Path) -> None:
    house.venue.time_zone = "America/New_York"
    house.venue.save(update_fields=["time_zone"])
    for day in (9, 10, 11, 12):
        make_record(house, answers=[], done_on=date(2026, 2, day))
    # 23:30 on the 11th in New York is the 12th in UTC; 00:30 on the 12th there is outside.
    make_finding(house, None, at=datetime(2026, 2, 12, 4, 30, tzinfo=UTC), what="last evening")
    make_finding(house, None, at=datetime(2026, 2, 12, 5, 30, tzinfo=UTC), what="next morning")
    bundle = make_bundle(house, tmp_path, date(2026, 2, 10), date(2026, 2, 11))
    assert [row["day"] for row in table(bundle, "records")] == ["2026-02-10", "2026-02-11"]
    assert [row["what"] for row in table(bundle, "findings")] == ["last evening"]


def test_an_old_finding_still_in_force_is_in_every_later_bundle_until_it_is_lifted(
    house: House, tmp_path: Path
) -> None:
    make_season(house)
    make_finding(house, None, at=AT - timedelta(days=300), what="Old and open")
    march = make_bundle(house, tmp_path, date(2026, 3, 1), date(2026, 3, 31))
    assert [row["what"] for row in table(march, "findings")] == ["Old and open"]
    assert [row["lifted at"] for row in table(march, "orders")] == [""]


def test_a_reading_keeps_what_was_typed_its_code_and_its_exact_value(
    house: House, tmp_path: Path
) -> None:
    make_season(house)
    row = table(make_bundle(house, tmp_path), "readings")[0]
    assert (row["as typed"], row["unit"], row["ucum"], row["si exact"]) == (
        "2.5", "mm", "mm", "1/400"
    )  # fmt: skip


def test_record_bodies_are_the_very_bytes_that_were_hashed(house: House, tmp_path: Path) -> None:
    record = make_record(house)
    body = (make_bundle(house, tmp_path) / "data" / "records" / f"{record.pk}.json").read_bytes()
    assert hashlib.sha256(body).hexdigest() == record.sha256


def test_photographs_are_there_as_sent_and_as_shown(house: House, tmp_path: Path) -> None:
    make_season(house)
    photographs = make_bundle(house, tmp_path) / "data" / "photographs"
    kept = KeptFile.objects.get(what="photograph")
    original = (photographs / "originals" / f"{kept.sha256}.jpg").read_bytes()
    shown = (photographs / f"{kept.shown_sha256}.jpg").read_bytes()
    assert hashlib.sha256(original).hexdigest() == kept.sha256
    assert hashlib.sha256(shown).hexdigest() == kept.shown_sha256


def test_a_lost_and_a_damaged_file_are_named_and_stop_nothing(house: House, tmp_path: Path) -> None:
    make_season(house)
    kept = KeptFile.objects.get(what="photograph")
    root = Path(settings.LOFTBOOK_FILES)
    path_of(root, kept.sha256).unlink()
    path_of(root, kept.shown_sha256).write_bytes(b"rotten")
    bundle = make_bundle(house, tmp_path)
    missing = completeness(bundle)["files that could not be included"]
    whys = [each["why"] for each in missing if each["file"].startswith("photographs/")]
    assert len(whys) == 2
    assert whys[0] == "not in the file store"
    assert whys[1].startswith("damaged")
    assert run(readme_commands(bundle)[3], bundle).stdout == "ALL FILES OK\n"


def test_the_rules_and_regimes_that_were_used_are_there_as_text(
    house: House, tmp_path: Path
) -> None:
    make_season(house)
    bundle = make_bundle(house, tmp_path)
    regime = next((bundle / "data" / "rules" / "regimes").iterdir())
    assert regime.read_text() == house.version.body
    # The test's own judgements name a rule set that no file holds: said, not passed over.
    missing = completeness(bundle)["files that could not be included"]
    assert [each["file"] for each in missing] == ["rules/rule-sets/crane_ropes-aaaaaaaaaaaa.toml"]


def test_the_export_is_logged_with_its_hash_and_leaves_no_half_file(
    house: House, tmp_path: Path
) -> None:
    make_season(house)
    make_bundle(house, tmp_path)
    out = tmp_path / f"{START}-{END}.zip"
    line = json.loads(LogLine.objects.get(did="export_evidence").body)
    assert line["after"]["sha256"] == hashlib.sha256(out.read_bytes()).hexdigest()
    assert line["after"]["from"] == "2026-02-01"
    assert not list(tmp_path.glob(".evidence-*"))


def test_a_table_that_lost_a_row_is_not_handed_out(
    house: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_season(house)
    pack = exporting.pack

    def lose_one(*known: object) -> object:
        packed = pack(*known)
        packed.written["readings"] -= 1
        return packed

    monkeypatch.setattr(exporting, "pack", lose_one)
    with pytest.raises(ExportFailed, match="readings"):
        make_bundle(house, tmp_path)
    assert list(tmp_path.iterdir()) == []
    assert not LogLine.objects.filter(did="export_evidence").exists()


def test_an_export_asks_the_same_number_of_questions_for_three_records_and_for_nine(
    house: House, tmp_path: Path
) -> None:
    asked = []
    venue_seal(house.venue, AT)  # made and noted once
    for number in (3, 6):
        for _ in range(number):
            make_record(house, answers=[answer_said("Is the brake dry?", "fit")])
        with CaptureQueriesContext(connection) as queries:
            make_bundle(house, tmp_path)
        asked.append(len(queries))
    assert asked[0] == asked[1]
    assert asked[0] > 30


def test_the_command_writes_the_file_and_refuses_what_does_not_exist(
    house: House, tmp_path: Path
) -> None:
    make_season(house)
    out, said = tmp_path / "evidence.zip", io.StringIO()
    known = {"stdout": said, "stderr": io.StringIO()}
    days = ["--from", "2026-02-01", "--to", "2026-02-28"]
    call_command("export_evidence", "--venue", "larkspur", *days, "--out", str(out), **known)
    assert zipfile.is_zipfile(out)
    assert hashlib.sha256(out.read_bytes()).hexdigest() in said.getvalue()
    with pytest.raises(CommandError, match="no venue"):
        call_command("export_evidence", "--venue", "nowhere", *days, "--out", str(out), **known)
    turned = ["--from", "2026-02-28", "--to", "2026-02-01"]
    with pytest.raises(CommandError, match="before the first"):
        call_command("export_evidence", "--venue", "larkspur", *turned, "--out", str(out), **known)


def test_what_nothing_could_be_made_of_is_in_the_bundle_to_the_letter(
    house: House, tmp_path: Path
) -> None:
    text, zone = '{"answers": "Ünreadable"', house.venue.zone
    for number, at in enumerate((AT, AT, AT.astimezone(zone).replace(year=2025))):
        keep_aside(
            venue=house.venue, pk=UUID(int=number), text=text, why="Not whole.", by=house.tam, at=at
        )
    bundle = make_bundle(house, tmp_path)
    first, second = table(bundle, "messages_kept_aside")
    assert (first["sent by"], first["why"]) == (house.tam.name, "Not whole.")
    assert first["sha256"] == second["sha256"]
    (file,) = (bundle / "data" / "messages-kept-aside").iterdir()
    assert file.read_text() == text
    assert file.stem == first["sha256"] == hashlib.sha256(file.read_bytes()).hexdigest()
    assert completeness(bundle)["counts"]["messages_kept_aside"] == {
        "in this bundle": 2, "counted in these days": 2, "in the whole book": 3
    }  # fmt: skip


def test_the_readme_names_no_file_that_is_not_there(house: House, tmp_path: Path) -> None:
    make_season(house)
    data = make_bundle(house, tmp_path) / "data"
    named = [word for word in README.split() if word.startswith("data/") and "report-1" not in word]
    paths = {word.removeprefix("data/").rstrip(",;").split("/.")[0] for word in named}
    assert len(paths) >= 12
    assert [path for path in sorted(paths) if path and not (data / path).exists()] == []
