"""The certificate of one rope: what it is and all that was seen of it, in every position it had."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime

from inspections.models import Record
from inspections.queries.equipment import field_facts
from inspections.queries.report_content import next_due_of
from inspections.queries.report_kinds.annual import people_of
from inspections.queries.report_kinds.checks_done import orders_fact
from inspections.queries.report_kinds.rope_lives import (
    breaking_force_words,
    points_of,
    rope_life,
)
from inspections.queries.report_kinds.shapes import Chosen, Told, blank_matter, day_words, local_day
from inspections.reports import words
from inspections.reports.kind_files import ReportKind
from inspections.reports.matter import Fact
from venue.kind_files import part_kinds
from venue.models import Part
from venue.queries.parts import Spell, same_thing, spells

# Told apart, with what backs them.
NOT_KNOWN = "not known"  # as `field_facts` says it
TOLD_APART = {"Minimum breaking force", "Where that force comes from"}


def build(kind: ReportKind, chosen: Chosen, at: datetime) -> Told:
    assert chosen.rope is not None  # the form and the action made sure
    part, venue = chosen.rope, chosen.venue
    line = spells(part)
    rows, today = same_thing(part, line), local_day(at, chosen.venue)
    points = points_of(venue, rows, today)
    records = list(
        Record.objects.filter(pk__in={point.record for point in points})
        .select_related("version", "equipment").order_by("done_on", "at")
    )  # fmt: skip
    known = dict(field_facts(part_kinds().get(part.kind), part.fields))
    life = replace(
        rope_life(part, points), facts=_facts(part, rows, line, known),
        not_known=tuple(name for name, value in known.items()
                        if value == NOT_KNOWN and name not in TOLD_APART),
    )  # fmt: skip
    head = (
        Fact("Rope", f"{part.equipment}, {part}{_named(part)}"),
        *([] if part.retired_on else [orders_fact(part.equipment)]),
    )
    matter = replace(
        blank_matter(kind), facts=head,
        ropes=(life,), people=people_of(records),
    )  # fmt: skip
    return Told(
        title=f"Rope {part.equipment.tag} {part}{_named(part)}"[:200], records=records,
        examined_on=records[-1].done_on if records else today,
        next_due=_next_due(part, records), matter=matter,
        examiners=frozenset(record.by_id for record in records),
    )  # fmt: skip


def _named(part: Part) -> str:
    return f", {part.identifier}" if part.identifier else ""


def _facts(
    part: Part, rows: list[Part], line: list[Spell], known: Mapping[str, str]
) -> tuple[Fact, ...]:
    told = [
        Fact("Identifier", part.identifier or words.UNKNOWN),
        Fact("Where it hangs" if not part.retired_on else "Where it hung last",
             f"{part.equipment}, {part.code}"),
        *[Fact(name, value) for name, value in known.items()
          if name not in TOLD_APART and value != NOT_KNOWN],
        Fact("Minimum breaking force", breaking_force_words(part.fields)),
        *[Fact("Installed", _installed(row)) for row in rows],
        Fact("Retired", _retired(part)),
        *_neighbours(part, rows, line),
    ]  # fmt: skip
    return tuple(told)


def _installed(row: Part) -> str:
    day = day_words(row.installed_on) if row.installed_on else "on a day that is not known"
    return f"{row.equipment.tag}, {row.code}: {day}"


def _retired(part: Part) -> str:
    if part.retired_on is None:
        return "Not retired: in use"
    return f"{day_words(part.retired_on)}: {part.retired_why or 'no reason is in the book'}"


def _neighbours(part: Part, rows: list[Part], line: list[Spell]) -> list[Fact]:
    """The rope before it in that position, and the one after."""
    here = [spell.part.pk for spell in line]
    first, last = here.index(rows[0].pk), here.index(rows[-1].pk)
    told = []
    if first > 0:
        told.append(Fact("Took the place of", _spell_words(line[first - 1].part)))
    if last + 1 < len(line):
        told.append(Fact("Followed by", _spell_words(line[last + 1].part)))
    return told


def _spell_words(part: Part) -> str:
    return f"{part.equipment.tag}, {part.code}, {part.identifier or 'no identifier'}"


def _next_due(part: Part, records: list[Record]) -> date | None:
    if part.retired_on or not records:
        return None
    latest = {record.version.slug: record for record in records if
              record.equipment_id == part.equipment_id}  # fmt: skip
    days = [day for record in latest.values() if (day := next_due_of(record))]
    return min(days, default=None)
