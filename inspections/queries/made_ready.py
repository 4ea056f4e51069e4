"""What a year plan asks to be made ready: detectors isolated, power off, a machine locked.

`made_ready` is what the log is told when a plan is published; from then on the log is where it is
read, so that nobody can say afterwards that an isolation was never planned.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from inspections.queries.planning_settings import set_up_rows
from venue.models import LogLine, Venue

if TYPE_CHECKING:
    from inspections.queries.check_year_plan import Checked
    from inspections.queries.evidence import Span

ISOLATION, OTHER = "isolation", "other"


def made_ready(venue: Venue, checked: Checked) -> dict[str, Any]:
    """By what is made ready: its words, its days of notice, and each planned task that needs it as
    day, half-day, tag, regime and the number of its row."""
    told, found = set_up_rows(venue), dict[str, Any]()
    for task, row in sorted(checked.rows.items(), key=lambda each: (each[0].slot, each[1].pk)):
        for kind in checked.found.needed[task.plan].set_ups.values():
            blank = {
                "words": kind.words, "kind": ISOLATION if kind.goes_with else OTHER,
                "notice_days": told[kind.slug][0].notice_days, "for": [],
            }  # fmt: skip
            each = [row.day, row.half, row.equipment.tag, row.plan.regime, row.pk]
            found.setdefault(kind.slug, blank)["for"].append(each)
    return found


@dataclass(frozen=True)
class Isolation:
    """One thing made ready for one planned task of a published plan, as the log tells of it."""

    key: str
    year_plan: int
    published_at: str
    log_line: int
    what: str
    words: str
    kind: str
    notice_days: int
    day: date
    half: str
    tag: str
    regime: str
    planned: int

    @property
    def send_by(self) -> date | None:
        return self.day - timedelta(days=self.notice_days) if self.notice_days else None


def isolations(venue: Venue) -> Iterator[Isolation]:
    """Of every plan that was ever published, in the order of the log."""
    lines = LogLine.objects.in_venue(venue).filter(did="publish_year_plan").order_by("number")
    for body in lines.values_list("body", flat=True).iterator(chunk_size=10):
        yield from _told_by(json.loads(body))


def isolations_of(span: Span) -> Iterator[Isolation]:
    """Those of which the day is one of these."""
    return (each for each in isolations(span.venue) if span.start <= each.day <= span.end)


def _told_by(line: dict[str, Any]) -> Iterator[Isolation]:
    """Lines from before 2026-11-26 say nothing of it."""
    number = 0
    for what, told in sorted((line["after"] or {}).get("made_ready", {}).items()):
        for day, half, tag, regime, planned in told["for"]:
            number += 1
            yield Isolation(
                key=f"{line['number']}-{number}", year_plan=int(line["subject"].split()[-1]),
                published_at=line["at"], log_line=line["number"], what=what, words=told["words"],
                kind=told["kind"], notice_days=int(told["notice_days"]),
                day=date.fromisoformat(day), half=half, tag=tag, regime=regime,
                planned=int(planned),
            )  # fmt: skip


def published_before_there_were_any(venue: Venue) -> int:
    """Plans whose line in the log was written before it told what is made ready."""
    lines = LogLine.objects.in_venue(venue).filter(did="publish_year_plan")
    bodies = (json.loads(body) for body in lines.values_list("body", flat=True))
    return sum("made_ready" not in (body["after"] or {}) for body in bodies)


def letters_asked_for(venue: Venue) -> dict[tuple[int, str, date], str]:
    """When the letter of notice was first asked for, by plan, what is made ready, and day."""
    lines = LogLine.objects.in_venue(venue).filter(did="ask_for_paper").order_by("-number")
    found = {}
    for text in lines.values_list("body", flat=True):
        body = json.loads(text)
        after = body["after"]
        if after["what"] == "notice":
            day = date.fromisoformat(after["day"])
            found[int(after["plan"]), after["of"], day] = body["at"]
    return found
