"""A winch whose rope was measured on three days, taken out of service and returned, and examined
thoroughly: made by the real actions, for the tests of the kinds of report."""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inspections.actions.fill_check import keep_answers, start_use_check
from inspections.actions.issue_report import Signing
from inspections.actions.open_finding import take_out_of_service
from inspections.actions.plans import apply_regime
from inspections.actions.return_to_service import record_remedy, return_to_service
from inspections.actions.sign_kind import Wanted, draft_of_kind, sign_kind
from inspections.actions.submit_check import submit_check
from inspections.models import Record
from inspections.queries.report_kinds.shapes import Chosen
from inspections.regime_files import regimes
from inspections.reports.content import Report as Content
from inspections.reports.kind_files import report_kinds
from tests.house import NOW, TODAY, make_equipment, make_house, make_rope
from venue.kind_fields import read_fields
from venue.kind_files import part_kinds
from venue.models import Organisation, Part, RatedLoad, Venue
from venue.quantities import read_quantity

KINDS = report_kinds()
LAST = TODAY + timedelta(days=60)  # the day of the last measurement
AT = NOW + timedelta(days=60, hours=6)  # when reports are asked for
EXAMINER_STATES = {
    "first": "Not the first after installation.",
    "would_be_safe": "It would be safe to operate.",
    "examiner_address": "2 Mole Street, Tern Harbour",
    "examiner_employer": "Self-employed",
    "signer_address": "2 Mole Street, Tern Harbour",
}

HOIST = {"serial_number": "77-204", "service": "normal", "hoist_class": "area_empty_only"}
HUNG = (
    ("top hook", "hook", "Top hook", "H-41"),
    ("bottom hook", "hook", "Bottom hook", "H-42"),
    ("chain", "load_chain", "Load chain", "LC-7"),
)


def make_kinds_house() -> Any:
    house = make_house()
    Organisation.objects.update(address="4 Quay Row\nTern Harbour")
    Venue.objects.filter(pk=house.venue.pk).update(address="4 Quay Row\nTern Harbour")
    house.venue.refresh_from_db()
    house.winch.venue = house.venue
    house.bare = make_equipment(house.venue, "W2")
    make_rope(house.bare)
    apply_regime(
        equipment=house.bare, regime=house.regime, anchor=TODAY, last_done_on=None,
        by=house.people["manager"], at=NOW,
    )  # fmt: skip
    rated = read_quantity("250 kg", "mass").stored()
    RatedLoad.objects.create(
        equipment=house.winch, purpose="moving", quantity=rated, source="Type plate"
    )
    worn = (("0.2550 in", "0"), ("0.2500 in", "2"), ("0.2475 in", "4"))
    house.measured = [
        measure(house, diameter, broken, NOW + timedelta(days=30 * turn))
        for turn, (diameter, broken) in enumerate(worn)
    ]
    house.unseen = could_not_look(house)
    house.returned = stop_and_return(house)
    house.locked = lock_out(house)
    house.earlier = examine(house, NOW - timedelta(days=200))
    house.thorough = examine(house, NOW + timedelta(days=60, hours=4))
    return house


def measure(house: Any, diameter: str, broken: str, at: datetime) -> Record:
    by = house.people["competent"]
    rope = {
        "dia_1_a": diameter, "dia_1_b": diameter, "instrument": "Caliper 2", "looked": "yes",
        "broken_lay": broken, "broken_strand_count": "2" if broken != "0" else "0",
        "broken_valley": "0", "broken_end": "0",
    }  # fmt: skip
    draft = start_use_check(equipment=house.winch, regime=house.regime, by=by, at=at)
    typed = {
        f"{check.slug}.{house.rope.pk}": rope if check.answer == "rope" else {"given": "yes"}
        for check in house.regime.checks
        if check.part_kind
    }
    keep_answers(draft=draft, typed=typed, at=at)
    return submit_check(draft=draft, by=by, at=at)


def stop_and_return(house: Any) -> Any:
    people, at = house.people, NOW + timedelta(days=60, hours=1)
    finding = take_out_of_service(
        equipment=house.winch, why="The brake drags.", by=people["stagehand"], at=at
    )
    out = io.BytesIO()
    Image.new("RGB", (600, 400), "grey").save(out, "JPEG")
    upload = SimpleUploadedFile("brake.jpg", out.getvalue(), "image/jpeg")
    record_remedy(
        finding=finding, what="New brake linings fitted", evidence=[upload], by=people["manager"],
        at=at + timedelta(hours=1),
    )  # fmt: skip
    return return_to_service(
        order=finding.orders.get(), statement="Ran full travel, brake held the rated load.",
        by=people["competent"], at=at + timedelta(hours=2),
    )  # fmt: skip


def could_not_look(house: Any) -> Record:
    """The other winch, whose rope could not be reached."""
    by, at = house.people["competent"], NOW + timedelta(days=10)
    draft = start_use_check(equipment=house.bare, regime=house.regime, by=by, at=at)
    typed = {
        f"{check.slug}.{house.bare.parts.get().pk}": {
            "given": "could_not_look", "reason": "A lamp bar hangs below it.",
        }
        for check in house.regime.checks
        if check.part_kind
    }  # fmt: skip
    keep_answers(draft=draft, typed=typed, at=at)
    return submit_check(draft=draft, by=by, at=at)


def lock_out(house: Any) -> Record:
    by, at = house.people["second"], NOW + timedelta(days=20)
    draft = start_use_check(equipment=house.bare, regime=regimes()["lock_out_yearly"], by=by, at=at)
    said = {
        "disconnect_locks": {"given": "yes"}, "procedure_fits": {"given": "yes"},
        "watched_whom": {"text": "Priya Kestrel and Jonas Quill, this morning"},
    }  # fmt: skip
    keep_answers(draft=draft, typed=said, at=at)
    return submit_check(draft=draft, by=by, at=at)


def examine(house: Any, at: datetime) -> Record:
    by = house.people["examiner"]
    said = {
        "all_parts_examined": {"given": "yes"}, "danger_now": {"given": "no"},
        "danger_later": {"given": "no"}, "load_agrees": {"given": "yes"},
        "tests_made": {"text": "Full travel with the rated load"}, "next_date": {"text": "2027-06-01"},
    }  # fmt: skip
    regime = regimes()["thorough_twelve_months"]
    draft = start_use_check(equipment=house.winch, regime=regime, by=by, at=at)
    keep_answers(draft=draft, typed=said, at=at)
    return submit_check(draft=draft, by=by, at=at)


def make_hoist(house: Any) -> Any:
    """A chain hoist with a chain and two hooks, looked at on the day of the reports; its bottom hook
    could not be reached."""
    hoist = make_equipment(house.venue, "CH-1", "chain_hoist", HOIST)
    parts = {}
    for order, (code, kind, name, mark) in enumerate(HUNG):
        fields = {"hook_position": code.split()[0], "identifier": mark, "rated_load": "500 kg"}
        known = {"link_diameter": "5 mm"} if kind == "load_chain" else fields
        stored, faults = read_fields(part_kinds()[kind], known, "metric")
        assert not faults, faults
        parts[code] = Part.objects.create(
            equipment=hoist, code=code, kind=kind, kind_hash="", name=name, identifier=mark,
            fields=stored, walking_order=order,
        )  # fmt: skip
    by, at = house.people["competent"], AT - timedelta(hours=1)
    regime = regimes()["chain_hoist_frequent_monthly"]
    draft = start_use_check(equipment=hoist, regime=regime, by=by, at=at)
    unseen = {"given": "could_not_look", "reason": "It was flown out."}
    typed = {"brake_and_stop": {"given": "yes"}, "no_new_noise": {"given": "yes"}}
    typed |= {
        f"chain_sound.{parts['chain'].pk}": {"given": "yes"},
        f"hook_record.{parts['top hook'].pk}": {"given": "yes"},
        f"hook_record.{parts['bottom hook'].pk}": unseen,
    }
    keep_answers(draft=draft, typed=typed, at=at)
    return submit_check(draft=draft, by=by, at=at)


def chosen(house: Any, kind: str) -> Chosen:
    """What each kind is asked of in this house."""
    venue = house.venue
    if KINDS[kind].asks == "span":
        return Chosen(venue, LAST - timedelta(days=364), LAST, equipment=[house.winch, house.bare])
    if KINDS[kind].asks == "rope":
        return Chosen(venue, rope=house.rope)
    if KINDS[kind].asks == "return":
        return Chosen(venue, returned=house.returned)
    return Chosen(venue, record=house.thorough if kind == "thorough_exam" else house.measured[-1])


def wanted(house: Any, kind: str, stated: dict[str, str] | None = None) -> Wanted:
    return Wanted(KINDS[kind], chosen(house, kind), stated or {})


def signed(house: Any, kind: str, who: str, meaning: str = "", **stated: str) -> Signing:
    found = KINDS[kind]
    said = meaning or (found.meanings or (found.own,))[0]
    return sign_kind(
        wanted=wanted(house, kind, stated), signer=house.people[who], meaning=said, at=AT
    )


def drafted(house: Any, kind: str) -> Content:
    return draft_of_kind(wanted=wanted(house, kind), at=AT)[0]
