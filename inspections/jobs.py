"""Work in the background. Each job may run twice without harm; nothing here decides what is due:
that is computed when it is read."""

from __future__ import annotations

import logging

from django.db import IntegrityError, transaction
from django.utils import timezone

from inspections.actions.generate_tasks import generate_tasks
from inspections.models import JobRun
from venue.models import Venue

log = logging.getLogger(__name__)


def tick() -> int:
    """Every five minutes: the daily work of each venue whose local day has begun. Returns how many
    venues were served. One venue that fails never stops the others."""
    now, served = timezone.now(), 0
    for venue in Venue.objects.all():
        try:
            served += _daily(venue, now)
        except Exception:
            log.exception("daily work of %s failed; it is tried again at the next tick", venue.slug)
    return served


def _daily(venue: Venue, now) -> int:
    day = now.astimezone(venue.zone).date()
    if JobRun.objects.filter(kind="daily", venue=venue, local_date=day).exists():
        return 0
    try:
        with transaction.atomic():
            JobRun.objects.create(kind="daily", venue=venue, local_date=day, at=now)
            generate_tasks(venue=venue, by=None, at=now)
    except IntegrityError:
        return 0  # another worker was quicker
    return 1
