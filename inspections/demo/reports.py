"""Sign two reports, as if today: the examiner's last full day, and the check of the worn rope.

A PDF takes a second or two, so there are only two; where none can be made the house is whole
without them.
"""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from inspections.actions.issue_report import issue_report
from inspections.demo.scenario import MARISOL
from inspections.models import Record
from inspections.reports.render import PdfNotMade
from inspections.reports.words import OWN_EXAMINATION
from venue.models import Venue

MOST_RECORDS = 8


def sign_reports(*, venue: Venue, at: datetime) -> int:
    """How many were signed."""
    worn = venue.records.filter(equipment__tag="W1", findings__part__code="line 3").first()
    signed = 0
    for records in (_examiners_day(venue), [worn] if worn else []):
        if not records:
            continue
        try:
            issue_report(
                venue=venue, records=records, signer=records[0].by, meaning=OWN_EXAMINATION, at=at
            )
        except PdfNotMade:
            return signed
        signed += 1
    return signed


def _examiners_day(venue: Venue) -> list[Record]:
    """The day on which the examiner saw most; what is on it is the yearly rigging inspection."""
    hers = venue.records.filter(by__email=MARISOL)
    days = Counter(hers.values_list("done_on", flat=True))
    if not days:
        return []
    day = max(days, key=lambda one: (days[one], one))
    return list(hers.filter(done_on=day).order_by("at")[:MOST_RECORDS])
