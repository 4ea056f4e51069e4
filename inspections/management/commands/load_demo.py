from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction
from django.utils import timezone

from inspections.demo.build import build
from inspections.demo.reports import sign_reports
from venue.models import Venue


class Command(BaseCommand):
    help = "Load the demo house, the Larkspur, unless it is there already."

    def handle(self, *args: Any, **options: Any) -> None:
        if Venue.objects.filter(slug="larkspur").exists():
            self.stdout.write("The demo house is there already.")
            return
        with transaction.atomic():
            larkspur = build(timezone.now())
            signed = sign_reports(venue=larkspur, at=timezone.now())
        self.stdout.write(f"The Larkspur and the Tern Studio are loaded, {signed} reports signed.")
