"""The bundle that is tampered with, and what its reader kept from elsewhere."""

from __future__ import annotations

import zipfile
from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256
from pathlib import Path

from asn1crypto.x509 import Certificate
from django.conf import settings

from inspections.actions.audit_questions import answer_question, ask_question
from inspections.actions.countersign_report import countersign_report
from inspections.actions.export_evidence import export_evidence
from inspections.actions.issue_report import issue_report
from inspections.actions.venue_seal import venue_seal
from inspections.evidence.checking.seals import certificate_in
from inspections.models import Report
from inspections.reports.keys import Seal, seal_of
from inspections.reports.words import COUNTER_MEANINGS, MEANINGS
from tests.inspections.proof_house import (
    AT,
    make_finding,
    make_photograph,
    make_proof_house,
    make_record,
    usual_answers,
)
from tests.inspections.season import make_season
from tests.venue.trees import root

START, END = date(2026, 2, 1), date(2026, 2, 28)
KEPT_AT = 3


@dataclass(frozen=True)
class Evidence:
    """`bag` is unpacked and never changed. The reader has the root's fingerprint and an earlier
    head from the venue; `seal` is what an insider could use and `forged` what a forger could make."""

    bag: Path
    root: Certificate
    fingerprint: str
    kept: tuple[int, str]
    seal: Seal
    forged: Seal


def make_evidence(folder: Path) -> Evidence:
    """Two records, each with its photograph and one signed report each, and a question of an auditor."""
    settings.LOFTBOOK_FILES = folder / "files"
    house = make_proof_house()
    make_season(house)
    answers = usual_answers(house)
    answers[2]["photographs"] = [make_photograph(house, "line 4.jpg", shade=40).sha256]
    record = make_record(house, answers, at=AT + timedelta(days=1))
    make_finding(house, record, what="Line 4: a kink")
    asked = ask_question(
        venue=house.venue, about={"record": record}, text="Why so late?", by=house.ines, at=AT
    )
    answer_question(question=asked, text="The set was up.", by=house.tam, at=AT)
    issue_report(venue=house.venue, records=[record], signer=house.tam, meaning=MEANINGS[0], at=AT)
    last = Report.objects.latest("pk")
    countersign_report(report=last, signer=house.odile, meaning=COUNTER_MEANINGS[1], at=AT)
    out = folder / "evidence.zip"
    export_evidence(
        venue=house.venue, start=START, end=END, out=out, by=house.odile, at=AT, names=True
    )
    with zipfile.ZipFile(out) as packed:
        packed.extractall(folder / "whole")
    bag = next((folder / "whole").iterdir())
    seal = venue_seal(house.venue, AT)
    forged = seal_of(
        folder / "forged", "larkspur", house.venue.name, house.venue.organisation.name, b"f", AT
    )
    return Evidence(
        bag,
        certificate_in(seal.root_pem),
        seal.root_fingerprint,
        head_at(bag, KEPT_AT),
        seal,
        forged,
    )


def head_at(bag: Path, size: int) -> tuple[int, str]:
    """The head of the log when it had `size` lines, as an earlier bundle told it."""
    lines = (bag / "data" / "log.jsonl").read_bytes().splitlines()[:size]
    return size, root([sha256(b"\0" + line).digest() for line in lines]).hex()
