from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Exists, OuterRef, QuerySet

from inspections.models import Finding, Order, Plan, Remedy
from inspections.queries.state import orders_in_force
from inspections.queries.tasks import Stop, late_tasks, tasks_soon, with_standing
from venue.models import Booking, Competence, Equipment, Venue
from venue.queries.people import lapsing
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch

FINDINGS_AT_ONCE = 4000


@dataclass(frozen=True)
class Tonight:
    day: date
    out: list[Order]
    restricted: list[Order]
    barred_soon: list[Order]
    late: list[Stop]
    late_count: int
    soon: list[Stop]
    findings: int
    lapsing: list[Competence]
    bookings: list[Booking]
    nothing_yet: str  # "register", "plans": what is missing for anything to be due at all


def house_tonight(venue: Venue, day: date, now: datetime) -> Tonight:
    orders = list(orders_in_force(venue, day))
    late = late_tasks(venue, day)
    return Tonight(
        day=day,
        out=[order for order in orders if order.what != Order.What.RESTRICTED],
        restricted=[order for order in orders if order.what == Order.What.RESTRICTED],
        barred_soon=list(orders_to_come(venue, day)),
        late=with_standing(late[:8], day),
        late_count=late.count(),
        soon=with_standing(tasks_soon(venue, day)[:12], day),
        findings=open_findings(venue).count(),
        lapsing=list(lapsing(venue, day)),
        bookings=list(Booking.objects.filter(venue=venue, ends__gte=now)[:4]),
        nothing_yet=_nothing_yet(venue),
    )


def _nothing_yet(venue: Venue) -> str:
    """Of an empty book nothing is late, and that is no good news."""
    if not Equipment.objects.filter(venue=venue).exists():
        return "register"
    return "" if Plan.objects.filter(equipment__venue=venue).exists() else "plans"


def orders_to_come(venue: Venue, day: date) -> QuerySet[Order]:
    """Orders that will bite by themselves on a later day unless the finding is cured."""
    return (
        Order.objects.filter(venue=venue, returned__isnull=True, bites_on__gt=day)
        .select_related("equipment", "finding")
        .order_by("bites_on")
    )


def orders(venue: Venue, *, lifted: bool) -> QuerySet[Order]:
    """Those in force and to come, and with `lifted` those of earlier; the newest first."""
    rows = Order.objects.filter(venue=venue).select_related("equipment", "by", "returned")
    return rows if lifted else rows.filter(returned__isnull=True)


def findings_read(rows: QuerySet[Finding], past: str) -> Stretch[Finding]:
    """The newest first."""
    return stretch_of(rows, ("-at", "-pk"), past, FINDINGS_AT_ONCE)


def orders_read(venue: Venue, past: str, *, lifted: bool) -> Stretch[Order]:
    return stretch_of(orders(venue, lifted=lifted), ("-at", "-pk"), past, FINDINGS_AT_ONCE)


def open_findings(venue: Venue) -> QuerySet[Finding]:
    """A finding is open until it has a remedy and each of its orders is lifted."""
    standing_order = Order.objects.filter(finding=OuterRef("pk"), returned__isnull=True)
    return (
        findings(venue)
        .annotate(
            has_remedy=Exists(Remedy.objects.filter(finding=OuterRef("pk"))),
            has_order=Exists(standing_order),
        )
        .exclude(has_remedy=True, has_order=False)
    )


def findings(venue: Venue) -> QuerySet[Finding]:
    return (
        Finding.objects.filter(venue=venue)
        .select_related("equipment", "part", "by", "record", "answer")
        .prefetch_related(
            "orders__returned", "remedies__by", "remedies__files__kept_file__disposal"
        )
    )
