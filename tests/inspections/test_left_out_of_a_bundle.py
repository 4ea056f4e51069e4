"""What was left out of a bundle unseen, with every count made to fit, is missed by its own scripts."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from inspections.evidence import verify_complete
from tests.inspections.season import completeness, run, table
from tests.tamper.parts import log_of, table_of, write_log, write_table

pytestmark = pytest.mark.django_db


def say(bundle: Path, change: Callable[[dict[str, Any]], object]) -> None:
    said = completeness(bundle)
    change(said)
    (bundle / "data" / "completeness.json").write_text(json.dumps(said))


def without_counts_of(bundle: Path, name: str) -> None:
    """The table and every word of it."""
    for path in (bundle / "data").glob(f"{name}.*"):
        path.unlink()
    say(bundle, lambda said: (said["counts"].pop(name), said["by outcome"].pop(name, None)))


def add_line(bundle: Path, **changed: Any) -> None:
    """Another line of the log; whether the log is whole is another script's matter."""
    lines = log_of(bundle)
    body = json.loads(lines[-1]) | {"number": len(lines) + 1} | changed
    text = json.dumps(body, separators=(",", ":"), sort_keys=True).encode() + b"\n"
    write_log(bundle, [*lines, text])


def complete(bundle: Path) -> tuple[int, str]:
    done = run("python3 -I verify_complete.py", bundle)
    assert done.stderr == ""
    return done.returncode, done.stdout


def test_a_photograph_that_a_record_shows_is_missed_without_its_row_or_its_file(
    bundle: Path,
) -> None:
    heading, row = table_of(bundle, "photographs")
    shown = row[heading.index("shown sha256")]
    (path,) = (bundle / "data" / "photographs").glob(f"{shown}.*")
    path.unlink()
    code, words = complete(bundle)
    assert (code, f"{shown} is neither here nor said to be missing" in words) == (1, True)
    write_table(bundle, "photographs", [heading])
    code, words = complete(bundle)
    assert (code, "which is not in the table" in words) == (1, True)


def test_a_photograph_of_a_remedy_that_the_log_tells_of_is_missed_without_its_row(
    bundle: Path,
) -> None:
    heading, row = table_of(bundle, "remedies")
    remedy = f"inspections.remedy {row[heading.index('remedy')]}"
    assert complete(bundle)[0] == 0
    add_line(bundle, did="record_remedy", subject="inspections.remedy 9999",
             after={"what": "of another year", "evidence": ["b" * 64]}, at="2019-01-01T08:00:00+00:00")  # fmt: skip
    say(bundle, lambda said: said["counts"]["remedies"].update({"in the whole book": 9}))
    assert complete(bundle)[0] == 0, "a remedy of other days is not here"
    add_line(bundle, did="record_remedy", subject=remedy, after={"evidence": ["a" * 64]})
    code, words = complete(bundle)
    assert (code, f"photographs: {'a' * 64} shows remedy" in words) == (1, True)


def test_a_photograph_that_a_phone_announced_and_that_never_came_is_told_and_no_fault(
    bundle: Path,
) -> None:
    heading, row = table_of(bundle, "photographs")
    record, original = row[heading.index("record")], row[heading.index("original sha256")]
    write_table(bundle, "photographs", [heading])
    path = bundle / "data" / "records" / f"{record}.json"
    body = json.loads(path.read_text()) | {"phone": {"photographs_sent": [original]}}
    path.write_text(json.dumps(body))
    code, words = complete(bundle)
    assert (code, "1 photographs that a phone announced did not come" in words) == (0, True)
    subject = f"inspections.record {record}"
    add_line(bundle, did="add_photograph", subject=subject, after={"sha256": original})
    assert complete(bundle)[0] == 1


def test_a_voice_note_that_the_log_tells_of_is_missed_where_its_record_is_here(
    bundle: Path,
) -> None:
    (record,) = table(bundle, "records")
    (made,) = (json.loads(line) for line in log_of(bundle) if b'"submit_check"' in line)
    kept = {"check": record["record"], "question": "", "sha256": "a" * 64}
    add_line(bundle, did="keep_voice_note", by=made["by"], after=kept | {"check": "elsewhere"})
    assert complete(bundle)[0] == 0
    add_line(bundle, did="keep_voice_note", by="person:another", after=kept)
    assert complete(bundle)[0] == 0
    add_line(bundle, did="keep_voice_note", by=made["by"], after=kept)
    code, words = complete(bundle)
    assert (code, "a" * 64 in words) == (1, True)


def test_isolations_left_out_with_their_table_and_their_count_are_missed(bundle: Path) -> None:
    without_counts_of(bundle, "isolations")
    code, words = complete(bundle)
    assert code == 1
    assert "isolations: machine_locked for CW-01" in words
    assert "does not tell how many isolations" in words


def test_parts_that_left_are_missed_with_table_and_count_from_the_day_every_bundle_has_them(
    bundle: Path,
) -> None:
    without_counts_of(bundle, "retired_parts")
    assert complete(bundle)[0] == 0  # as made before there was such a table
    day = f"{date(2026, 11, 27)}T08:00:00+00:00"
    add_line(bundle, at=day, did="sign_in", subject="", after=None)
    code, words = complete(bundle)
    assert (code, "left its position" in words) == (1, True)


def test_a_missing_file_with_any_reason_but_a_disposal_is_told_with_an_exit_code_of_its_own(
    bundle: Path,
) -> None:
    missing = "reports/report-9.pdf"
    why = {"file": missing, "why": "the dog ate it"}
    say(bundle, lambda said: said["files that could not be included"].append(why))
    code, words = complete(bundle)
    assert code == 3
    assert words.startswith(f"COMPLETE but 1 files are missing: {missing}.")
    faults, told = verify_complete.check(bundle / "data")
    assert (faults, told) == ([], words.strip())


def test_a_part_that_left_is_told_once_and_one_the_log_does_not_know_is_counted(
    bundle: Path,
) -> None:
    heading, row = table_of(bundle, "retired_parts")
    unknown = list(row)
    for column, text in (("part", "999"), ("how", "the log does not tell"), ("log line", "")):
        unknown[heading.index(column)] = text
    write_table(bundle, "retired_parts", [heading, row, unknown])
    done = run("python3 -I verify_tables.py", bundle)
    assert (done.returncode, "nor were 1 parts that left" in done.stdout) == (0, True)
    write_table(bundle, "retired_parts", [heading, row, row])
    done = run("python3 -I verify_tables.py", bundle)
    assert (done.returncode, ": twice" in done.stdout) == (1, True)
