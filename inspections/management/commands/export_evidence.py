"""Write the evidence bundle of a venue to a file, from the command line or a timer."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inspections.actions.export_evidence import ExportFailed, export_evidence
from venue.models import Venue


class Command(BaseCommand):
    help = "Write a venue's evidence of some days, both days included, to one zip file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--venue", required=True, metavar="SLUG")
        parser.add_argument("--from", required=True, dest="start", type=date.fromisoformat)
        parser.add_argument("--to", required=True, dest="end", type=date.fromisoformat)
        parser.add_argument("--out", required=True, type=Path, metavar="FILE.zip")

        parser.add_argument(
            "--names", action="store_true", help="with the names behind the log's references"
        )

    def handle(self, *args: Any, **asked: Any) -> None:
        venue = Venue.objects.filter(slug=asked["venue"]).first()
        if venue is None:
            raise CommandError(f"There is no venue “{asked['venue']}”.")
        try:
            made = export_evidence(
                venue=venue, start=asked["start"], end=asked["end"], out=asked["out"].resolve(),
                by=None, at=timezone.now(), names=asked["names"],
            )  # fmt: skip
        except ExportFailed as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"{made.path}\nSHA-256 {made.sha256}")
        for lost in made.missing:
            self.stderr.write(f"Not included: {lost['file']} ({lost['why']})")
