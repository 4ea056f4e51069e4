"""A small part of the Larkspur with records as they are frozen, for tests of reports and bundles.

The bodies are written out here rather than made by the check pages, so that these tests hold the
frozen format: a record of today must be readable by the reports of every later edition.
"""

from __future__ import annotations

import io
import uuid
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from PIL import Image, ImageDraw

from inspections.models import (
    Answer,
    AnswerPhoto,
    Finding,
    Judged,
    Order,
    Plan,
    Reading,
    Record,
    RegimeVersion,
    Task,
)
from venue.actions.keep_file import keep_photograph
from venue.actions.log import write_line
from venue.log_hash import canonical, sha256_of
from venue.models import (
    Competence,
    Equipment,
    KeptFile,
    Membership,
    Organisation,
    Person,
    Place,
    RatedLoad,
    Venue,
)
from venue.quantities import Quantity, read_quantity

AT = datetime(2026, 2, 10, 9, 30, tzinfo=UTC)
DAY = date(2026, 2, 10)
REGIME = """slug = "winch_ropes_monthly"
title = "Running ropes of a winch, monthly"
level = "competent_person"
"""


@dataclass(frozen=True)
class House:
    venue: Venue
    tam: Person  # head flyman, competent person
    odile: Person  # facilities manager
    priya: Person  # stagehand, no competence
    ines: Person  # the insurer's engineer
    stranger: Person  # of another venue
    winch: Equipment
    version: RegimeVersion
    plan: Plan


def make_proof_house() -> House:
    trust = Organisation.objects.create(
        slug="larkspur-trust", name="Larkspur Trust", address="4 Quay Row\nTern Harbour"
    )
    venue = Venue.objects.create(
        organisation=trust, slug="larkspur", name="The Larkspur", address="4 Quay Row\nTern Harbour",
        time_zone="Europe/London", dialect="en-GB",
    )  # fmt: skip
    studio = Venue.objects.create(
        organisation=trust, slug="tern-studio", name="Tern Studio", time_zone="Europe/London"
    )
    winch = _winch(venue)
    version = RegimeVersion.objects.create(
        slug="winch_ropes_monthly", hash=sha256_of(REGIME), body=REGIME, first_used=AT,
        title="Running ropes of a winch, monthly",
    )  # fmt: skip
    plan = Plan.objects.create(
        equipment=winch, regime=version.slug, version=version, level="competent_person",
        interval="P1M", counting="from_last_done", anchor=DAY,
    )  # fmt: skip
    tam = _person("Tam Achterberg", venue, "competent")
    Competence.objects.create(
        person=tam, venue=venue, level="competent_person", certificate="Wire rope inspection TH-118",
        issued_by="Tern Harbour College", valid_from=date(2024, 1, 1), expires_on=date(2027, 1, 1),
    )  # fmt: skip
    return House(
        venue, tam, _person("Odile Varga", venue, "manager"),
        _person("Priya Kestrel", venue, "stagehand"), _person("Ines Halloran", venue, "auditor"),
        _person("Jonas Quill", studio, "manager"), winch, version, plan,
    )  # fmt: skip


def _winch(venue: Venue) -> Equipment:
    house = Place.objects.create(venue=venue, slug="stage", name="Stage house")
    grid = Place.objects.create(venue=venue, slug="grid", name="Gridiron", parent=house)
    winch = Equipment.objects.create(
        venue=venue, place=grid, tag="CW-01", name="Canopy winch", kind="multi_line_winch",
        kind_hash="0" * 64, serial="", made_on="unknown",
    )  # fmt: skip
    rated = read_quantity("250 kg", "mass").stored()
    RatedLoad.objects.create(equipment=winch, purpose="moving", quantity=rated, source="Type plate")
    return winch


def _person(name: str, venue: Venue, role: str) -> Person:
    email = f"{name.split()[0].lower()}@larkspur.example"
    person = Person.objects.create_user(email, name, "quay-row-tern-harbour")
    Membership.objects.create(person=person, venue=venue, role=role, since=date(2024, 1, 1))
    return person


def make_task(house: House, number: int, due: date, **fields: Any) -> Task:
    known = {"planned_on": due, "last_lawful_on": due, **fields}
    return Task.objects.create(
        venue=house.venue,
        plan=house.plan,
        equipment=house.winch,
        number=number,
        due_on=due,
        **known,
    )


def make_photograph(house: House, name: str = "line 3.jpg", shade: int = 120) -> KeptFile:
    picture = Image.new("RGB", (1200, 800), (shade, shade, shade))
    ImageDraw.Draw(picture).line([(0, 700), (1200, 90)], fill=(40, 40, 40), width=60)
    out = io.BytesIO()
    picture.save(out, "JPEG")
    upload = SimpleUploadedFile(name, out.getvalue(), "image/jpeg")
    return keep_photograph(venue=house.venue, upload=upload, by=house.tam, at=AT)


def length(text: str) -> Quantity:
    return read_quantity(text, "length", "mm")


def rope_observation() -> dict[str, Any]:
    return {
        "diameters": [
            {"a": length("9.1 mm").stored(), "b": length("8.9 mm").stored(),
             "position": read_quantity("12.5 m", "length").stored()},
            {"a": length('3/8"').stored(), "b": length("9.4").stored(), "position": None},
        ],
        "counts": [
            {"number": 4, "window": ["lay", 1], "in_one_strand": 3, "zone": None},
            {"number": 0, "window": ["lay", 1], "in_one_strand": None, "zone": "termination"},
        ],
        "broken_wires": [
            {"position": read_quantity("12.6 m", "length").stored(), "strand": 3, "zone": "crown"}
        ],
        "conditions": {"corrosion": True, "distortion": False, "power_line_contact": None},
        "instrument": "Caliper 4", "instrument_uncertainty": length("0.05 mm").stored(),
    }  # fmt: skip


def judgement(state: str, **said: Any) -> dict[str, Any]:
    return {
        "state": state, "verdict": "met", "ruleset": "crane_ropes", "hash": "a" * 64,
        "title": "Ropes of overhead cranes", "edition": "2023", "clause": "(m)(1)", "value": "4",
        "limit": "more than 3 in one strand of one lay", "margin": "1 beyond the limit", "missing": [],
        "words": "broken wires in one strand of one lay", "verified": "printed",
        "action": "Retire the rope.", "notes": [], **said,
    }  # fmt: skip


def _gap_kept() -> dict[str, Any]:
    return judgement(
        "fit", verdict="not met", ruleset="limit", hash="", title="Maker's manual", edition="", clause="8.2",
        value="2.5 mm", limit="at most 3 mm", margin="0.5 mm inside the limit", action="",
        words="the reading is > the limit",
    )  # fmt: skip


def answer_said(question: str, state: str, **said: Any) -> dict[str, Any]:
    return {
        "check": "a_check", "question": question, "part": "", "given": "yes", "text": "",
        "reason": "", "answered_at": AT.isoformat(), "readings": [], "rope": None,
        "observation": None, "judgements": [], "state": state, "photographs": [], **said,
    }  # fmt: skip


def usual_answers(house: House) -> list[dict[str, Any]]:
    photo = make_photograph(house)
    sag = {
        "what": "value",
        "quantity": length("2.5").stored(),
        "instrument": "",
        "uncertainty": None,
    }
    undecided = judgement(
        "cannot be decided", verdict="cannot be decided", missing=["nominal diameter"], value="",
        limit="", margin="", title="A rule that needs the nominal diameter", words="", action="",
    )  # fmt: skip
    return [
        answer_said("Is the brake dry and clean?", "fit"),
        answer_said(
            "Measure the gap at the brake.", "fit", given="value", readings=[sag],
            judgements=[_gap_kept()],
        ),
        answer_said(
            "Look at this rope over its working length.", "retire", given="value",
            part="line 3, Wire rope", observation=rope_observation(),
            judgements=[judgement("retire"), undecided], photographs=[photo.sha256],
        ),
        answer_said(
            "Are the fleet angles right?", "cannot be decided", given="could_not_look",
            reason="A set stands below the drum \U0001f44d",
        ),
        answer_said("Is the load cell marked?", "not judged", given="not_applicable", reason="None fitted"),
    ]  # fmt: skip


def make_record(house: House, answers: list[dict[str, Any]] | None = None, **fields: Any) -> Record:
    """A record as `submit_check` stores it, with its rows and its log line."""
    said = usual_answers(house) if answers is None else answers
    by = fields.pop("by", house.tam)
    record = Record(
        id=uuid.uuid4(), venue=house.venue, version=house.version, by=by,
        **{
            "equipment": house.winch, "by_name": by.name, "by_role": "Competent person", "may_sign": True, "at": AT,
            "by_competence": "Competent person, Wire rope inspection TH-118, valid until 2027-01-01",
            "started_at": AT, "done_on": DAY, "state": "retire",
            "remark": "Line 3 next to the muling block is worn.", **fields,
        },
    )  # fmt: skip
    record.body = canonical({**_told_of(record), "answers": said})
    record.sha256 = sha256_of(record.body)
    with transaction.atomic():
        record.save(force_insert=True)
        for order, each in enumerate(said, 1):
            _answer_rows(record, order, each)
        after = {"state": record.state, "sha256": record.sha256, "day": record.done_on}
        write_line(
            venue=house.venue, by=by, at=record.at, did="submit_check", subject=record, after=after
        )
    return record


def _told_of(record: Record) -> dict[str, Any]:
    """The head of a body, as inspections/record_body.py writes it."""
    equipment, version = record.equipment, record.version
    return {
        "record": str(record.pk), "day": record.done_on.isoformat(), "state": record.state,
        "equipment": {"tag": equipment.tag, "name": equipment.name},
        "regime": {"title": version.title, "sha256": version.hash},
        "by": {"name": record.by_name, "role": record.by_role, "competence": record.by_competence},
        "may_sign": record.may_sign, "remark": record.remark,
        "started_at": record.started_at.isoformat(), "stored_at": record.at.isoformat(),
    }  # fmt: skip


def _answer_rows(record: Record, order: int, said: dict[str, Any]) -> None:
    answer = Answer.objects.create(
        record=record, order=order, check_slug=said["check"], question=said["question"],
        given=said["given"], text=said["text"], reason=said["reason"],
    )  # fmt: skip
    for each in said["readings"]:
        Reading.objects.create(answer=answer, what=each["what"], quantity=each["quantity"])
    for each in said["judgements"]:
        known = {name: each[name] for name in ("state", "verdict", "ruleset", "edition", "clause")}
        figures = {name: each[name] for name in ("value", "limit", "margin", "missing")}
        Judged.objects.create(
            answer=answer, ruleset_hash=each["hash"], body=each, **known, **figures
        )
    for kept in KeptFile.objects.filter(sha256__in=said["photographs"]):
        AnswerPhoto.objects.create(answer=answer, kept_file=kept)


def make_finding(house: House, record: Record | None, **fields: Any) -> Finding:
    known = {
        "grade": "not_used_until_cured", "what": "Line 3: broken wires", "by": house.tam, "at": AT,
        "detail": "Four broken wires in one lay, three of them in one strand.", **fields,
    }  # fmt: skip
    finding = Finding.objects.create(
        venue=house.venue, equipment=house.winch, record=record, **known
    )
    order = Order.objects.create(
        venue=house.venue, equipment=house.winch, finding=finding, what="out_of_service",
        why=finding.what, bites_on=DAY, by=house.tam, at=finding.at,
    )  # fmt: skip
    tell(house, "open_finding", finding, "what", "grade", "cured_by", "restriction")
    tell(house, "give_order", order, "what", "why", "bites_on")
    return finding


def tell(house: House, did: str, row: Any, *fields: str) -> None:
    """The line in the log that a row's own action would have written."""
    after = {field: getattr(row, field) for field in fields}
    with transaction.atomic():
        write_line(venue=house.venue, by=row.by, at=row.at, did=did, subject=row, after=after)
