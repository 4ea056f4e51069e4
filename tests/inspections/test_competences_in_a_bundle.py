"""Whoever signed something in a bundle was competent that day, or the bundle does not hold."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from inspections.evidence import verify_competences
from tests.guards import unguarded
from tests.inspections.proof_house import House, make_record
from tests.inspections.season import completeness, make_bundle, run, table, tell_competences
from venue.models import Competence

SCRIPT = "python3 -I verify_competences.py"


def write(bundle: Path, rows: list[dict[str, str]]) -> None:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, table(bundle, "competences")[0].keys())
    writer.writeheader()
    writer.writerows(rows)
    path = bundle / "data" / "competences.csv"
    path.write_text("\ufeff" + out.getvalue(), encoding="utf-8", newline="")


def test_a_bundle_tells_of_each_competence_whose_which_how_long_and_by_whom(bundle: Path) -> None:
    """The person and the certificate by the log's references alone."""
    (row,) = table(bundle, "competences")
    assert (row["level"], row["valid from"], row["valid until"]) == (
        "competent_person", "2024-01-01", "2027-01-01",
    )  # fmt: skip
    assert row["good for the work of"] == "a trained user; a competent person"
    people = {each["reference"] for each in table(bundle, "names")}
    references = {row[name] for name in ("person", "certificate", "issued by", "written down by")}
    assert len(references) == 4
    assert references <= people
    text = (bundle / "data" / "competences.csv").read_text()
    assert not [word for word in ("Tam", "Odile", "TH-118", "College") if word in text]
    line = (bundle / "data" / "log.jsonl").read_text().splitlines()[int(row["log line"]) - 1]
    assert json.loads(line)["did"] == "add_competence"
    assert completeness(bundle)["counts"]["competences"] == {
        "in this bundle": 1, "counted in these days": 1, "in the whole book": 1
    }  # fmt: skip
    assert "data/competences.csv" in (bundle / "manifest-sha256.txt").read_text()
    assert "verify_competences.py" in (bundle / "tagmanifest-sha256.txt").read_text()


def test_the_names_are_given_where_they_are_asked_for(season: House, tmp_path: Path) -> None:
    bundle = make_bundle(season, tmp_path, names=True)
    said = {row["reference"]: row["name"] for row in table(bundle, "names")}
    (row,) = table(bundle, "competences")
    assert said[row["person"]] == "Tam Achterberg"
    assert said[row["certificate"]] == "Wire rope inspection TH-118"
    assert said[row["issued by"]] == "Tern Harbour College"
    assert said[row["written down by"]] == "Odile Varga"


def test_whoever_signed_was_competent_that_day(bundle: Path) -> None:
    said = run(SCRIPT, bundle)
    assert said.stdout.startswith("COMPETENCES OK: 1 competences as the log has them; makers of 1 records "
                                  "and signers of 2 reports and returns"), said  # fmt: skip
    assert said.returncode == 0


CHANGES: dict[str, tuple[Callable[[list[dict[str, str]]], object], str]] = {
    "longer": (lambda rows: rows[0].update({"valid until": "2031-01-01"}), "another valid until"),
    "earlier": (lambda rows: rows[0].update({"valid from": "2020-01-01"}), "another valid from"),
    "higher": (lambda rows: rows[0].update({"level": "outside_examiner"}), "another level"),
    "another person": (
        lambda rows: rows[0].update({"person": "person:" + "0" * 64}), "another person",
    ),
    "another card": (lambda rows: rows[0].update({"certificate": ""}), "another certificate"),
    "by themselves": (
        lambda rows: rows[0].update({"written down by": rows[0]["person"]}), "another written",
    ),
    "one more": (lambda rows: rows.append(rows[0] | {"competence": "999"}), "does not know it"),
    "twice": (lambda rows: rows.append(dict(rows[0])), "stands there twice"),
    "left out": (lambda rows: rows.clear(), "which the log tells of, is not here"),
}  # fmt: skip


@pytest.mark.parametrize("how", CHANGES)
def test_a_competence_that_the_log_tells_otherwise_is_found(bundle: Path, how: str) -> None:
    change, words = CHANGES[how]
    rows = table(bundle, "competences")
    change(rows)
    write(bundle, rows)
    said = run(SCRIPT, bundle)
    assert said.returncode == 1
    assert words in said.stdout, said.stdout


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("words", "day"),
    [
        ("Competent person, Wire rope inspection TH-118, valid until 2031-01-01", "2026-02-11"),
        ("Competent person, Wire rope inspection TH-118, with no end date", "2026-02-11"),
        ("Outside examiner, Wire rope inspection TH-118, valid until 2027-01-01", "2026-02-11"),
        ("Competent person, Wire rope inspection TH-118, valid until 2027-01-01", "2023-02-11"),
    ],
)
def test_a_record_whose_maker_was_not_competent_as_it_says_is_named(
    season: House, tmp_path: Path, words: str, day: str
) -> None:
    on = date.fromisoformat(day)
    record = make_record(season, by_competence=words, done_on=on)
    bundle = make_bundle(season, tmp_path, start=date(2023, 1, 1))
    said = run(SCRIPT, bundle)
    assert f"record {record.pk}: no competence of its maker was valid on {on}" in said.stdout
    assert said.stdout.count("WRONG") == 1
    assert said.returncode == 1


@pytest.mark.django_db
def test_another_persons_competence_covers_nobody_else(season: House, tmp_path: Path) -> None:
    record = make_record(season, by=season.priya)
    said = run(SCRIPT, make_bundle(season, tmp_path))
    assert f"record {record.pk}: no competence of its maker" in said.stdout


@pytest.mark.django_db
def test_a_record_that_says_its_maker_could_not_sign_is_counted_and_no_fault(
    season: House, tmp_path: Path
) -> None:
    make_record(
        season, by=season.priya, may_sign=False,
        by_competence="No competence as a competent person on file",
    )  # fmt: skip
    said = run(SCRIPT, make_bundle(season, tmp_path))
    assert "1 records say that their maker could not sign" in said.stdout
    assert said.returncode == 0


@pytest.mark.django_db
def test_a_report_or_return_by_somebody_whose_competence_had_run_out_is_named(
    season: House, tmp_path: Path
) -> None:
    with unguarded():
        Competence.objects.update(expires_on=date(2026, 2, 8))
    tell_competences(season)
    said = run(SCRIPT, make_bundle(season, tmp_path)).stdout
    assert "report 1: no competence of its signer was valid on 2026-02-10" in said
    assert "return" in said
    assert "no competence of its maker was valid on 2026-02-10" in said


def test_an_older_bundle_without_the_table_is_not_said_to_have_been_checked(bundle: Path) -> None:
    """But one that counts them and has none is wrong."""
    (bundle / "data" / "competences.csv").unlink()
    assert run(SCRIPT, bundle).returncode == 1
    path = bundle / "data" / "completeness.json"
    said = json.loads(path.read_text())
    del said["counts"]["competences"], said["by outcome"]["competences"]
    path.write_text(json.dumps(said))
    faults, words = verify_competences.check(bundle / "data")
    assert faults == []
    assert "nothing was checked" in words
