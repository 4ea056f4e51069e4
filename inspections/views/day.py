from __future__ import annotations

from datetime import date

from django.utils import timezone

from venue.models import Venue


def local_day(venue: Venue) -> date:
    """Today in the venue's own calendar. Views read the clock; actions and pure code are told."""
    return timezone.now().astimezone(venue.zone).date()
