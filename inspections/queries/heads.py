"""The signed heads of a venue's log, and who is sent them."""

from __future__ import annotations

from django.db.models import Max, QuerySet

from inspections.models import HeadReceiver, SignedHead
from venue.models import Person, Venue

SHOWN = 50


def heads_of(venue: Venue, person: Person) -> QuerySet[SignedHead]:
    """The newest first."""
    rows = SignedHead.objects.visible_to(person).in_venue(venue)
    return rows.defer("body", "signature").order_by("-number")[:SHOWN]


def receivers_of(venue: Venue, person: Person) -> QuerySet[HeadReceiver]:
    """Those who are sent heads now, each with when it was last sent one."""
    rows = HeadReceiver.objects.visible_to(person).in_venue(venue).filter(ended_at=None)
    return rows.annotate(last_sent=Max("sendings__at")).order_by("since", "pk")
