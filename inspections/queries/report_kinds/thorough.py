"""A thorough examination: what the record states of each item that the law lists. What it does not
state is left empty, to be stated by whoever signs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from inspections.calendar_rules import due_date
from inspections.models import Finding, Order, Record
from inspections.models.finding import Grade
from inspections.queries.report_content import next_due_of, sheets_of
from inspections.queries.report_kinds.checks_done import body_answers, orders_fact
from inspections.queries.report_kinds.shapes import Chosen, Told, blank_matter, day_words
from inspections.reports.kind_files import ReportKind
from inspections.reports.matter import Fact
from inspections.reports.record_reading import quantity_words
from venue.models import Equipment, Venue

DANGERS = (Grade.NOT_USED, Grade.IMMINENT)
# By the regime: the interval it follows, and its words. Source: LOLER 1998, reg. 9(3).
GROUNDS = {
    "thorough_six_months_people": ("P6M", "Within an interval of 6 months"),
    "thorough_twelve_months": ("P1Y", "Within an interval of 12 months"),
    "thorough_twelve_months_lift": ("P1Y", "Within an interval of 12 months"),
}


def build(kind: ReportKind, chosen: Chosen, at: datetime) -> Told:
    assert chosen.record is not None  # the form and the action made sure
    record, venue = chosen.record, chosen.venue
    title = f"{record.equipment.tag} {record.equipment.name}: thorough examination of "
    facts = (
        Fact("Equipment", str(record.equipment)),
        Fact("Made by", f"{record.by_name}, {record.by_competence}"),
        orders_fact(record.equipment),
    )
    return Told(
        title=f"{title[:170]}{day_words(record.done_on)}", records=[record],
        examined_on=record.done_on, next_due=_next(record, body_answers(record)),
        examiners=frozenset({record.by_id}),
        matter=replace(blank_matter(kind), facts=facts),
        sheets=sheets_of(venue, [record], at), said=_said(kind, record, venue),
    )  # fmt: skip


def _said(kind: ReportKind, record: Record, venue: Venue) -> dict[str, str]:
    answers = {each["check"]: each for each in body_answers(record)}
    previous = _previous(kind, record)
    due = _next(record, list(answers.values()))
    return {
        "employer": _address(venue.organisation.name, venue.organisation.address),
        "premises": _address(venue.name, venue.address),
        "identity": identity_words(record.equipment),
        "previous": day_words(previous.done_on) if previous else "",
        "safe_load": safe_load_words(record.equipment),
        "ground": _ground(record, previous),
        "next": day_words(due) if due else "",
        "tests": _text(answers.get("tests_made")),
        "examined_on": day_words(record.done_on),
        "examiner": f"{record.by_name}; {record.by_competence}" if record.may_sign else "",
        **_defects(record, answers),
    }


def identity_words(equipment: Equipment) -> str:
    serial = f"serial number {equipment.serial}" if equipment.serial else "serial number not known"
    unknown = equipment.made_on in ("", "unknown")
    made = "date of manufacture not known" if unknown else f"made {equipment.made_on}"
    return f"{equipment}, {serial}, {made}"


def safe_load_words(equipment: Equipment) -> str:
    return "; ".join(
        f"{load.purpose.replace('_', ' ')}: {quantity_words(load.quantity)}"
        + (f" ({load.source})" if load.source else "")
        for load in equipment.rated_loads.all()
    )


def _previous(kind: ReportKind, record: Record) -> Record | None:
    """The one before, of any of the regimes of this kind, on the same equipment."""
    rows = Record.objects.filter(
        equipment_id=record.equipment_id, version__slug__in=kind.regimes, may_sign=True,
        done_on__lt=record.done_on,
    ).defer("body")  # fmt: skip
    return rows.order_by("-done_on", "-at").first()


def _ground(record: Record, previous: Record | None) -> str:
    """Said only where the book shows the one before and the interval was kept."""
    interval, words = GROUNDS.get(record.version.slug, ("", ""))
    if not interval or previous is None:
        return ""
    kept = record.done_on <= due_date(previous.done_on, interval, 1)
    return f"{words}, counted from that of {day_words(previous.done_on)}" if kept else ""


def _defects(record: Record, answers: Mapping[str, Any]) -> dict[str, str]:
    """From the findings of the record. None found is said only where the record itself says so, and
    that all parts were examined, and no order is in force: what somebody else found is for the
    signer to weigh."""
    findings = list(record.findings.select_related("part").order_by("at", "pk"))
    now = [one for one in findings if one.grade in DANGERS]
    later = [one for one in findings if one.grade in (Grade.USED_UNTIL, Grade.RESTRICTED)]
    whole = answers.get("all_parts_examined", {}).get("given") == "yes"
    ordered = Order.objects.filter(equipment=record.equipment, returned__isnull=True).exists()
    clear = whole and not ordered
    none_now = clear and _denied(answers, "danger_now")
    none_later = clear and _denied(answers, "danger_later")
    none = "None found" if none_now and none_later else ""
    return {
        "defects": _lines(now + later, _defect_words) or none,
        "repairs": "None: no defect is a danger" if none_now and not now else "",
        "by_when": _lines(later, _later_words) or ("None" if none_later else ""),
    }


def _denied(answers: Mapping[str, Any], check: str) -> bool:
    return bool(answers.get(check)) and answers[check]["given"] == "no"


def _lines(findings: Sequence[Finding], words: Any) -> str:
    return "\n".join(words(one) for one in findings)


def _defect_words(finding: Finding) -> str:
    part = f"{finding.part}: " if finding.part else ""
    detail = f". {finding.detail}" if finding.detail else ""
    return f"{part}{finding.what}{detail} ({finding.get_grade_display()})"


def _later_words(finding: Finding) -> str:
    by = f"by {day_words(finding.cured_by)}" if finding.cured_by else "no date was stated"
    return f"{finding.what}: {by}" + (f"; {finding.restriction}" if finding.restriction else "")


def _next(record: Record, answers: Sequence[Mapping[str, Any]]) -> date | None:
    """What the examiner wrote, or the next task; the earlier of the two."""
    written = [_text(each) for each in answers if each["check"] == "next_date"]
    days = [day for day in (next_due_of(record), _day(*written)) if day]
    return min(days, default=None)


def _day(text: str = "") -> date | None:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None


def _text(said: Mapping[str, Any] | None) -> str:
    return str(said.get("text") or "").strip() if said else ""


def _address(name: str, address: str) -> str:
    """Name and address; empty without the address, which the law asks for as well."""
    return f"{name}\n{address}" if address.strip() else ""
