"""Ropes with all that records say of them, in a fixed number of queries."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from uuid import UUID

from inspections.models import Answer, Record
from inspections.reports import words
from inspections.reports.matter import RopeLife, RopePoint
from inspections.reports.record_reading import quantity_words
from inspections.reports.rope_points import Looked, rope_point
from rigging.engine import load_rulesets
from venue.models import Part, Venue

WIRE_ROPE = "wire_rope"
MBF_SOURCES = {
    "certificate": "by certificate", "table": "from a table", "calculated": "calculated",
}  # fmt: skip
NOT_KNOWN_WHENCE = "nobody has said where it comes from"


def rope_lives(venue: Venue, parts: Sequence[Part], until: date) -> dict[int, RopeLife]:
    """By the number of the part: what was seen of it up to that day. Verdicts whole at the last
    day only; the records hold the others."""
    points = _points(venue, [part.pk for part in parts], until)
    return {part.pk: rope_life(part, _verdicts_at_the_end(points[part.pk])) for part in parts}


def rope_life(part: Part, points: Iterable[RopePoint]) -> RopeLife:
    fields = part.fields
    return RopeLife(
        tag=part.equipment.tag, equipment=part.equipment.name, position=part.code, name=part.name,
        identifier=part.identifier or words.UNKNOWN,
        construction=str(fields.get("construction") or words.UNKNOWN),
        nominal=quantity_words(fields.get("nominal_diameter")) or words.UNKNOWN,
        baseline=quantity_words(fields.get("baseline_diameter")) or words.UNKNOWN,
        breaking_force=breaking_force_words(fields),
        installed_on=part.installed_on.isoformat() if part.installed_on else "",
        retired_on=part.retired_on.isoformat() if part.retired_on else "", points=tuple(points),
    )  # fmt: skip


def breaking_force_words(fields: Mapping) -> str:
    """The force with where it comes from: a figure without that is not evidence."""
    force = quantity_words(fields.get("minimum_breaking_force"))
    source = MBF_SOURCES.get(str(fields.get("mbf_source")), NOT_KNOWN_WHENCE)
    return f"{force}, {source}" if force else words.UNKNOWN


def points_of(venue: Venue, parts: Sequence[Part], until: date) -> list[RopePoint]:
    """Every look at any of these rows, oldest first: one rope in the positions it had."""
    found = _points(venue, [part.pk for part in parts], until)
    told = [
        replace(point, where=f"{part.equipment.tag}, {part.code}")
        for part in parts
        for point in found[part.pk]
    ]
    return sorted(told, key=lambda point: point.on)


def _verdicts_at_the_end(points: Sequence[RopePoint]) -> list[RopePoint]:
    last = [point for point in points if point.measured][-1:]
    return [point if point in last else replace(point, verdicts=()) for point in points]


def _points(venue: Venue, parts: Sequence[int], until: date) -> dict[int, list[RopePoint]]:
    answers = Answer.objects.filter(
        record__venue=venue, part__in=parts, record__done_on__lte=until, part__kind=WIRE_ROPE
    ).exclude(given__in=("yes", "no"))
    wanted: dict[UUID, list[tuple[int, int]]] = defaultdict(list)
    for record_id, order, part_id in answers.values_list("record_id", "order", "part_id"):
        wanted[record_id].append((order, part_id))
    found: dict[int, list[RopePoint]] = defaultdict(list)
    rules = load_rulesets()
    records = Record.objects.filter(pk__in=wanted).order_by("done_on", "at", "pk")
    for record in records.iterator(chunk_size=50):
        said = json.loads(record.body)["answers"]
        for order, part_id in wanted[record.pk]:
            if said[order - 1].get("observation") or said[order - 1].get("rope"):
                found[part_id].append(rope_point(_looked(record), said[order - 1], rules))
    return found


def _looked(record: Record) -> Looked:
    return Looked(
        record.done_on.isoformat(), record.by_name, record.by_competence, str(record.pk),
        record.sha256,
    )  # fmt: skip
