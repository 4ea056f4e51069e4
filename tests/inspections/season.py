"""A season of the small house with one of everything, and the evidence bundle of its February.

The rows, the sealed report and the bundle are made once for a file of tests (conftest.py here keeps
the fixtures); each test has copies of its own.
"""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
import zipfile
from datetime import date, timedelta
from pathlib import Path

from django.db import transaction

from inspections.actions.export_evidence import export_evidence
from inspections.actions.issue_report import issue_report
from inspections.models import (
    PhoneSignature,
    PlannedTask,
    Remedy,
    ReturnToService,
    Sent,
    Task,
    YearPlan,
)
from inspections.reports.words import MEANINGS
from tests.inspections.proof_house import (
    AT,
    DAY,
    House,
    make_finding,
    make_record,
    make_task,
    tell,
)
from venue.actions.log import write_line
from venue.log_hash import sha256_of
from venue.models import Competence, Part
from venue.person_references import TextAbout

START, END = date(2026, 2, 1), date(2026, 2, 28)


def packed_bundle(
    house: House, out: Path, start: date = START, end: date = END, *, names: bool = False
) -> Path:
    export_evidence(
        venue=house.venue, start=start, end=end, out=out, by=house.odile, at=AT, names=names
    )
    return out


def unpacked_bundle(out: Path, folder: Path) -> Path:
    """The folder that lies in the zip."""
    with zipfile.ZipFile(out) as packed:
        assert packed.testzip() is None
        packed.extractall(folder)
    (bundle,) = folder.glob("bundle-*")
    return bundle


def make_bundle(
    house: House, folder: Path, start: date = START, end: date = END, *, names: bool = False
) -> Path:
    """The unpacked bundle."""
    out = packed_bundle(house, folder / f"{start}-{end}.zip", start, end, names=names)
    return unpacked_bundle(out, folder / out.stem)


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
            after={"statement": back.statement, "remedied_by": house.odile},
        )  # fmt: skip
    sent = Sent.objects.create(
        id=record.pk, venue=house.venue, what="check", by=house.tam, body="{}", record=record,
        sha256=sha256_of("{}"), received_at=AT, earliest_at=AT, latest_at=AT,
    )  # fmt: skip
    PhoneSignature.objects.create(sent=sent, by=house.tam, how="password", received_at=AT)
    done = make_task(house, 1, DAY, state="done", done_on=DAY)
    make_isolations(house, done)
    retire_a_rope(house)
    make_task(house, 2, date(2026, 2, 2), state="done", done_on=DAY)
    make_task(house, 3, date(2026, 2, 5), deferred_why="=The set was up")
    make_task(house, 4, date(2026, 2, 20), state="cancelled", closed_why="Set struck")
    make_task(house, 5, date(2026, 2, 27))
    make_task(house, 6, date(2026, 1, 2))
    make_task(house, 7, date(2026, 5, 1))
    issue_report(venue=house.venue, records=[record], signer=house.tam, meaning=MEANINGS[0], at=AT)
    tell_competences(house)


def retire_a_rope(house: House) -> None:
    """As somebody takes a rope out who puts no other in."""
    rope = Part.objects.create(
        equipment=house.winch, code="line 3", kind="wire_rope", kind_hash="0" * 64, name="Rope",
        identifier="WR-3", retired_on=DAY, retired_at=AT, retired_why="Broken wires",
    )  # fmt: skip
    after = {"why": rope.retired_why, "successor": None}
    with transaction.atomic():
        write_line(
            venue=house.venue, by=house.odile, at=AT, did="retire_part", subject=rope, after=after
        )


def make_isolations(house: House, task: Task) -> None:
    """As a published year plan has them: two in February, one in March, and one letter of notice."""
    january = AT - timedelta(days=30)
    plan = YearPlan.objects.create(
        venue=house.venue, first_day=date(2026, 2, 1), days=60, at=january, made_at=january
    )
    planned = PlannedTask.objects.create(
        year_plan=plan, plan=house.plan, equipment=house.winch, task=task, day=DAY, half="am",
        due_on=DAY, last_lawful_on=DAY,
    )  # fmt: skip
    YearPlan.objects.filter(pk=plan.pk).update(state="published", published_at=january)
    rows = [[day, "am", "CW-01", house.plan.regime, planned.pk] for day in (DAY, date(2026, 3, 10))]
    ready = {
        "machine_locked": {"words": "machine locked off", "kind": "isolation", "notice_days": 0,
                           "for": rows},
        "detector_isolated": {"words": "detectors isolated, with a fire watch", "notice_days": 3,
                              "kind": "isolation", "for": rows[:1]},
    }  # fmt: skip
    letter = {"plan": plan.pk, "what": "notice", "of": "detector_isolated", "day": DAY}
    with transaction.atomic():
        for did, after in (("publish_year_plan", {"made_ready": ready}), ("ask_for_paper", letter)):
            write_line(
                venue=house.venue, by=house.odile, at=january, did=did, subject=plan, after=after
            )


def tell_competences(house: House) -> None:
    """As if each had been written down on the page of people."""
    for row in Competence.objects.in_venue(house.venue):
        texts = {name: TextAbout(getattr(row, name), row.person)
                 for name in ("certificate", "issued_by")}  # fmt: skip
        after = {"level": row.level, "valid_from": row.valid_from, "expires_on": row.expires_on}
        with transaction.atomic():
            write_line(
                venue=house.venue, by=house.odile, at=AT, did="add_competence", subject=row,
                after=after | texts,
            )  # fmt: skip


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
