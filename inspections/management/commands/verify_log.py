"""Recompute a venue's whole log and say whether it holds; for a timer, or for whoever doubts."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inspections.actions.verify_log import verify_log
from venue.models import Venue


class Command(BaseCommand):
    help = "Recompute a venue's log from its first line. Exit code 1: it does not hold."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--venue", required=True, metavar="SLUG")

    def handle(self, *args: Any, **asked: Any) -> None:
        venue = Venue.objects.filter(slug=asked["venue"]).first()
        if venue is None:
            raise CommandError(f"There is no venue “{asked['venue']}”.")
        check = verify_log(venue=venue, at=timezone.now())
        for words in check.faults:
            self.stderr.write(f"WRONG: {words}")
        if check.faults:
            raise CommandError(f"The log of {venue.name} does not hold.")
        self.stdout.write(
            f"LOG OK: {check.size} lines, {check.records} records, {check.heads} signed heads; "
            f"root {check.root}"
        )
