"""Sign three reports, as if today: some of the examiner's last full day, the check of the worn rope, and
the annual inspection of the winch that has that rope.

A PDF takes a second or two, so there are no more; where none can be made the house is whole
without them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from functools import partial

from inspections.actions.issue_report import issue_report
from inspections.actions.sign_kind import Wanted, issue_kind
from inspections.demo.scenario import MARISOL, TAM
from inspections.models import Record, Report
from inspections.queries.report_kinds.shapes import Chosen
from inspections.reports.kind_files import report_kinds
from inspections.reports.render import PdfNotMade
from inspections.reports.words import OWN_EXAMINATION
from venue.models import Person, Venue

MOST_RECORDS = 4
WORN = "W1"


def sign_reports(*, venue: Venue, at: datetime) -> int:
    """How many were signed."""
    signed = 0
    for issue in _to_issue(venue, at):
        try:
            issue()
        except PdfNotMade:
            return signed
        signed += 1
    return signed


def _to_issue(venue: Venue, at: datetime) -> Iterator[Callable[[], Report]]:
    worn = venue.records.filter(equipment__tag=WORN, findings__part__code="line 3").first()
    for records in (_examiners_day(venue), [worn] if worn else []):
        if records:
            yield partial(
                issue_report, venue=venue, records=records, signer=records[0].by,
                meaning=OWN_EXAMINATION, at=at,
            )  # fmt: skip
    yield partial(_annual, venue, at)


def _annual(venue: Venue, at: datetime) -> Report:
    """Signed by the head flyman, who did some of the checks and reviewed the rest."""
    kind, today = report_kinds()["annual_rigging"], at.astimezone(venue.zone).date()
    winch = list(venue.equipment.filter(tag=WORN).select_related("place", "venue"))
    wanted = Wanted(kind, Chosen(venue, today - timedelta(days=364), today, winch))
    tam = Person.objects.get(email=TAM)
    return issue_kind(wanted=wanted, signer=tam, meaning=kind.meanings[0], at=at)


def _examiners_day(venue: Venue) -> list[Record]:
    """The day on which the examiner saw most; what is on it is the yearly rigging inspection."""
    hers = venue.records.filter(by__email=MARISOL)
    days = Counter(hers.values_list("done_on", flat=True))
    if not days:
        return []
    day = max(days, key=lambda one: (days[one], one))
    return list(hers.filter(done_on=day).order_by("at")[:MOST_RECORDS])
