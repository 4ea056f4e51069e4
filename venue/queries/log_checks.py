"""What the nightly check of the log found last."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import Max

from venue.models import LogCheck, Venue

LATELY = timedelta(days=3)
HOLDS, BROKEN, OLD, NEVER = "holds", "does not hold", "not checked lately", "not checked yet"


def newest_check(venue: Venue) -> LogCheck | None:
    return LogCheck.objects.in_venue(venue).order_by("-at", "-pk").first()


def logs_hold(now: datetime) -> str:
    """Of all venues in one word or two: the worst. Says nothing about any one of them."""
    newest = LogCheck.objects.order_by().values("venue").annotate(last=Max("pk")).values("last")
    checks = list(LogCheck.objects.filter(pk__in=newest).only("at", "faults"))
    if any(check.faults for check in checks):
        return BROKEN
    if any(now - check.at > LATELY for check in checks):
        return OLD
    return HOLDS if checks else NEVER
