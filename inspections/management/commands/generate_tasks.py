from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from inspections.actions.generate_tasks import generate_tasks
from venue.models import Venue


class Command(BaseCommand):
    help = "Make the missing tasks of the coming 15 months, for every venue. Twice changes nothing."

    def handle(self, *args: Any, **options: Any) -> None:
        for venue in Venue.objects.order_by("slug"):
            made = generate_tasks(venue=venue, by=None, at=timezone.now())
            self.stdout.write(f"{venue.slug}: {made} new tasks")
