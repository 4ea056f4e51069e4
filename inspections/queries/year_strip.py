"""The year week by week on the front page, and the tasks of one of its weeks."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import Count, F, Q, QuerySet

from inspections.models import Task
from inspections.queries.tasks import Stop, with_people, with_standing
from inspections.year_strip import Counted, YearStrip, ends_of, monday_of, year_strip
from venue.models import Venue

OPEN, DONE = Q(state=Task.State.OPEN), Q(state=Task.State.DONE)


def strip_of(venue: Venue, day: date) -> YearStrip:
    """Four queries, however many tasks there are."""
    first, last = ends_of(day)
    rows = Task.objects.filter(venue=venue).order_by()
    done = rows.filter(DONE, done_on__range=(first, last))
    still = rows.filter(OPEN, last_lawful_on__gte=day, planned_on__lte=last)
    return year_strip(
        Counted(
            done=_by_day(done, "done_on"),
            done_late=_by_day(done.filter(done_on__gt=F("last_lawful_on")), "done_on"),
            late=_by_day(rows.filter(OPEN, last_lawful_on__lt=day), "last_lawful_on"),
            open=_by_day(still, "planned_on"),
        ),
        day,
    )


def week_rows(venue: Venue, day: date, monday: date) -> list[Stop]:
    """The tasks that the strip counts in this week, those still open first."""
    week = (monday, monday + timedelta(days=6))
    now = monday == monday_of(day)
    planned = Q(planned_on__lte=week[1]) if now else Q(planned_on__range=week)
    coming = planned & Q(last_lawful_on__gte=day) if monday >= monday_of(day) else Q(pk=None)
    late = Q(last_lawful_on__range=week, last_lawful_on__lt=day)
    rows = Task.objects.filter(venue=venue).filter(
        (OPEN & (late | coming)) | (DONE & Q(done_on__range=week))
    )
    return with_standing(with_people(rows).order_by("-state", "planned_on", "half", "pk"), day)


def _by_day(rows: QuerySet[Task], day: str) -> list[tuple[date, int]]:
    return list(rows.values_list(day).annotate(Count("pk")))
