"""An evidence bundle holds one of everything, counts what it leaves out, and says so."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from inspections.actions import export_evidence as exporting
from inspections.actions.export_evidence import ExportFailed
from tests.inspections.proof_house import (
    AT,
    House,
    make_finding,
)
from tests.inspections.season import (
    END,
    START,
    completeness,
    make_bundle,
    readme_commands,
    run,
    table,
)
from venue.file_store import path_of
from venue.models import KeptFile, LogLine

pytestmark = pytest.mark.django_db


def test_every_task_is_there_with_how_it_came_out_and_why(bundle: Path) -> None:
    rows = {row["due on"]: row for row in table(bundle, "tasks")}
    assert {day: row["outcome"] for day, row in rows.items()} == {
        "2026-02-10": "done in time", "2026-02-02": "done late", "2026-02-05": "missed, still open",
        "2026-02-20": "cancelled", "2026-02-27": "open", "2026-01-02": "missed, still open",
    }  # fmt: skip
    assert rows["2026-02-05"]["put off because"] == "'=The set was up"
    assert rows["2026-02-20"]["closed because"] == "Set struck"


def test_the_counts_tell_of_what_the_chosen_days_leave_out(season: House, tmp_path: Path) -> None:
    said = completeness(make_bundle(season, tmp_path))
    assert said["counts"]["tasks"] == {
        "in this bundle": 6, "counted in these days": 6, "in the whole book": 7
    }  # fmt: skip
    assert said["by outcome"]["tasks"]["missed, still open"] == 2
    assert said["by outcome"]["answers"]["could_not_look"] == 1
    assert said["counts"]["judgements"]["in this bundle"] == 3
    assert len(said["counts"]) == 20
    assert said["by outcome"]["competences"] == {"competent_person": 1}
    march = completeness(make_bundle(season, tmp_path, date(2026, 3, 1), date(2026, 3, 31)))
    assert march["counts"]["records"] == {
        "in this bundle": 0, "counted in these days": 0, "in the whole book": 1
    }  # fmt: skip


def test_an_old_finding_still_in_force_is_in_every_later_bundle_until_it_is_lifted(
    season: House, tmp_path: Path
) -> None:
    make_finding(season, None, at=AT - timedelta(days=300), what="Old and open")
    march = make_bundle(season, tmp_path, date(2026, 3, 1), date(2026, 3, 31))
    assert [row["what"] for row in table(march, "findings")] == ["Old and open"]
    assert [row["lifted at"] for row in table(march, "orders")] == [""]


def test_a_reading_keeps_what_was_typed_its_code_and_its_exact_value(bundle: Path) -> None:
    row = table(bundle, "readings")[0]
    assert (row["as typed"], row["unit"], row["ucum"], row["si exact"]) == (
        "2.5", "mm", "mm", "1/400"
    )  # fmt: skip


def test_photographs_are_there_as_sent_and_as_shown(bundle: Path) -> None:
    photographs = bundle / "data" / "photographs"
    kept = KeptFile.objects.get(what="photograph")
    original = (photographs / "originals" / f"{kept.sha256}.jpg").read_bytes()
    shown = (photographs / f"{kept.shown_sha256}.jpg").read_bytes()
    assert hashlib.sha256(original).hexdigest() == kept.sha256
    assert hashlib.sha256(shown).hexdigest() == kept.shown_sha256


def test_a_lost_and_a_damaged_file_are_named_and_stop_nothing(
    season: House, tmp_path: Path
) -> None:
    kept = KeptFile.objects.get(what="photograph")
    root = Path(settings.LOFTBOOK_FILES)
    path_of(root, kept.sha256).unlink()
    path_of(root, kept.shown_sha256).write_bytes(b"rotten")
    bundle = make_bundle(season, tmp_path)
    missing = completeness(bundle)["files that could not be included"]
    whys = [each["why"] for each in missing if each["file"].startswith("photographs/")]
    assert len(whys) == 2
    assert whys[0] == "not in the file store"
    assert whys[1].startswith("damaged")
    assert run(readme_commands(bundle)[3], bundle).stdout == "ALL FILES OK\n"


def test_the_rules_and_regimes_that_were_used_are_there_as_text(
    season: House, bundle: Path
) -> None:
    regime = next((bundle / "data" / "rules" / "regimes").iterdir())
    assert regime.read_text() == season.version.body
    # The test's own judgements name a rule set that no file holds: said, not passed over.
    missing = completeness(bundle)["files that could not be included"]
    assert [each["file"] for each in missing] == ["rules/rule-sets/crane_ropes-aaaaaaaaaaaa.toml"]


def test_the_export_is_logged_with_its_hash_and_leaves_no_half_file(
    season: House, tmp_path: Path
) -> None:
    make_bundle(season, tmp_path)
    out = tmp_path / f"{START}-{END}.zip"
    line = json.loads(LogLine.objects.get(did="export_evidence").body)
    assert line["after"]["sha256"] == hashlib.sha256(out.read_bytes()).hexdigest()
    assert line["after"]["from"] == "2026-02-01"
    assert not list(tmp_path.glob(".evidence-*"))


def test_a_table_that_lost_a_row_is_not_handed_out(
    season: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pack = exporting.pack

    def lose_one(*known: object) -> object:
        packed = pack(*known)
        packed.written["readings"] -= 1
        return packed

    monkeypatch.setattr(exporting, "pack", lose_one)
    with pytest.raises(ExportFailed, match="readings"):
        make_bundle(season, tmp_path)
    assert list(tmp_path.iterdir()) == []
    assert not LogLine.objects.filter(did="export_evidence").exists()


def test_the_command_writes_the_file_and_refuses_what_does_not_exist(
    season: House, tmp_path: Path
) -> None:
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
