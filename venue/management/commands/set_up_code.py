from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from venue.actions.open_house import make_set_up_code


class Command(BaseCommand):
    help = "Print a fresh set-up code for the first person, as long as nobody is here."

    def handle(self, *args: Any, **options: Any) -> None:
        if code := make_set_up_code(at=timezone.now()):
            self.stdout.write(f"\nNobody is here yet. Begin at {settings.LOFTBOOK_ADDRESS}/set-up/")
            self.stdout.write(f"The set-up code, good until the next start: {code}")
