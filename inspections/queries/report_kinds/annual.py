"""The annual rigging inspection: some days, some equipment, all that was seen and was not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from inspections.models import Finding, Order, Record
from inspections.models.finding import Grade
from inspections.queries.equipment import kind_label
from inspections.queries.report_content import local_time, place_words
from inspections.queries.report_kinds import checks_done as checks
from inspections.queries.report_kinds.rope_lives import WIRE_ROPE, rope_lives
from inspections.queries.report_kinds.shapes import Chosen, Told, blank_matter, day_words, local_day
from inspections.queries.state import EquipmentState, states_of
from inspections.reports import words
from inspections.reports.kind_files import ReportKind
from inspections.reports.matter import (
    Examiner,
    Fact,
    FoundThing,
    Graded,
    OpenOrder,
    Piece,
    RopeLife,
)
from venue.models import Equipment, Part, Venue

# Worst first: what may not be used before what may.
GRADES = (
    Grade.IMMINENT, Grade.NOT_USED, Grade.USED_UNTIL, Grade.RESTRICTED, Grade.OBSERVATION,
)  # fmt: skip


def build(kind: ReportKind, chosen: Chosen, at: datetime) -> Told:
    assert chosen.start is not None  # the form and the action made sure
    assert chosen.end is not None
    venue, today = chosen.venue, local_day(at, chosen.venue)
    equipment = sorted(chosen.equipment, key=lambda one: (one.walking_order, one.tag))
    records = checks.records_between(equipment, chosen.start, chosen.end)
    pieces = _pieces(venue, equipment, records, chosen.start, chosen.end, today)
    dates = [one.last_lawful_on for piece in pieces for one in piece.next_dates]
    matter = replace(
        blank_matter(kind), examined_from=chosen.start.isoformat(), pieces=pieces,
        findings=_findings(venue, equipment, chosen.start, chosen.end, at),
        open_orders=_open_orders(venue, equipment), people=people_of(records),
        facts=_facts(equipment, records, chosen.start, chosen.end),
    )  # fmt: skip
    return Told(
        title=_title(equipment, chosen.start, chosen.end), records=records,
        examined_on=max((record.done_on for record in records), default=chosen.end),
        next_due=date.fromisoformat(min(dates)) if dates else None,
        examiners=frozenset(record.by_id for record in records), matter=matter,
    )  # fmt: skip


def _title(equipment: Sequence[Equipment], start: date, end: date) -> str:
    what = ", ".join(piece.tag for piece in equipment)
    if len(equipment) == 1:
        what = str(equipment[0])
    elif len(what) > 40:
        what = f"{len(equipment)} pieces of equipment"
    return f"Rigging inspection, {what}, {day_words(start)} to {day_words(end)}"[:200]


def _facts(
    equipment: Sequence[Equipment], records: Sequence[Record], start: date, end: date
) -> tuple[Fact, ...]:
    return (
        Fact("Days", f"{day_words(start)} to {day_words(end)}, both included"),
        Fact(
            "Equipment in it",
            f"{counted(len(equipment), 'piece')}, {counted(len(records), 'check')} done",
        ),
    )


def counted(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _pieces(
    venue: Venue,
    equipment: Sequence[Equipment],
    records: Sequence[Record],
    start: date,
    end: date,
    today: date,
) -> tuple[Piece, ...]:
    done, missed = defaultdict(list), defaultdict(list)
    for record in records:
        done[record.equipment_id].append(record)
    for task in checks.tasks_not_done(equipment, start, end, today):
        missed[task.equipment_id].append(checks.check_missed(task, today))
    unseen, dates = checks.not_decided(records), checks.next_dates(equipment, today)
    states, ropes = states_of(equipment, today), _ropes(venue, equipment, start, end)
    return tuple(
        replace(
            _piece(piece, states[piece.pk]),
            checks=(*(checks.check_done(one, unseen[one.pk]) for one in done[piece.pk]),
                    *missed[piece.pk]),
            not_looked=checks.told_once(
                (one.done_on, f"{one.version.title}: {line}")
                for one in done[piece.pk] for line in unseen[one.pk]
            ),
            ropes=ropes[piece.pk], next_dates=tuple(dates.get(piece.pk, ())),
        )
        for piece in equipment
    )  # fmt: skip


def _piece(piece: Equipment, state: EquipmentState) -> Piece:
    return Piece(
        tag=piece.tag, name=piece.name, kind=kind_label(piece.kind, piece.venue),
        place=place_words(piece.place), serial=piece.serial or words.UNKNOWN, state=state.state,
        state_words=state.words, checks=(), not_looked=(), ropes=(), next_dates=(),
    )  # fmt: skip


def _ropes(
    venue: Venue, equipment: Sequence[Equipment], start: date, end: date
) -> dict[int, tuple[RopeLife, ...]]:
    """By equipment: the ropes that were in it in these days, those retired meanwhile too."""
    parts = Part.objects.filter(equipment__in=equipment, kind=WIRE_ROPE)
    parts = parts.exclude(retired_on__lt=start).exclude(installed_on__gt=end)
    rows = list(parts.select_related("equipment").order_by("walking_order", "code", "pk"))
    lives = rope_lives(venue, rows, end)
    found: dict[int, tuple[RopeLife, ...]] = defaultdict(tuple)
    for part in rows:
        found[part.equipment_id] += (lives[part.pk],)
    return found


def _findings(
    venue: Venue, equipment: Sequence[Equipment], start: date, end: date, at: datetime
) -> tuple[Graded, ...]:
    """Found in these days, or before and not put right when they begin."""
    rows = Finding.objects.filter(equipment__in=equipment, at__lte=at)
    rows = rows.select_related("equipment", "part", "by").order_by("at", "pk")
    rows = rows.prefetch_related("remedies__by", "orders__returned")
    told: dict[str, list[FoundThing]] = defaultdict(list)
    for finding in rows:
        day = local_day(finding.at, venue)
        if day <= end and (day >= start or _stood_on(finding, start, venue)):
            told[finding.grade].append(found_thing(finding, venue))
    return tuple(Graded(grade.label, tuple(told[grade])) for grade in GRADES)


def _stood_on(finding: Finding, day: date, venue: Venue) -> bool:
    orders, remedies = list(finding.orders.all()), list(finding.remedies.all())
    ends = [getattr(order, "returned", None) for order in orders] or remedies[:1] or [None]
    return any(end is None or local_day(end.at, venue) >= day for end in ends)


def found_thing(finding: Finding, venue: Venue) -> FoundThing:
    orders, remedies = list(finding.orders.all()), list(finding.remedies.all())
    return FoundThing(
        grade=finding.get_grade_display(), equipment=finding.equipment.tag,
        part=str(finding.part or ""), what=finding.what, detail=finding.detail,
        found_on=local_day(finding.at, venue).isoformat(), found_by=finding.by.name,
        cured_by=finding.cured_by.isoformat() if finding.cured_by else "",
        restriction=finding.restriction, orders=tuple(_order_words(one, venue) for one in orders),
        remedies=tuple(f"{one.what} ({one.by.name}, {day_words(local_day(one.at, venue))})"
                       for one in remedies),
        standing=_standing(orders, remedies),
    )  # fmt: skip


def _order_words(order: Order, venue: Venue) -> str:
    returned = getattr(order, "returned", None)
    lifted = "in force"
    if returned:
        lifted = f"lifted by {returned.by_name}, {day_words(local_day(returned.at, venue))}"
    return f"{order.what_begins} from {day_words(order.bites_on)}, {lifted}"


def _standing(orders: Sequence[Order], remedies: Sequence) -> str:
    if any(not hasattr(order, "returned") for order in orders):
        return "Open: an order is in force"
    return "Remedied" if remedies else "Open: nothing was done about it yet"


def _open_orders(venue: Venue, equipment: Sequence[Equipment]) -> tuple[OpenOrder, ...]:
    rows = Order.objects.filter(equipment__in=equipment, returned__isnull=True)
    return tuple(
        OpenOrder(
            order.equipment.tag, order.get_what_display(), order.why, order.restriction,
            order.bites_on.isoformat(), order.by.name, local_time(order.at, venue),
        )
        for order in rows.select_related("equipment", "by").order_by("bites_on", "pk")
    )  # fmt: skip


def people_of(records: Sequence[Record]) -> tuple[Examiner, ...]:
    """Everyone who looked, once for each role and competence they had on the day."""
    found: dict[tuple[str, str, str, bool], list[Record]] = defaultdict(list)
    for record in records:
        key = (record.by_name, record.by_role, record.by_competence, record.may_sign)
        found[key].append(record)
    return tuple(
        Examiner(name, role, competence, _days(rows), len(rows), may_sign)
        for (name, role, competence, may_sign), rows in sorted(found.items())
    )


def _days(rows: Sequence[Record]) -> tuple[str, ...]:
    return tuple(sorted({row.done_on.isoformat() for row in rows}))
