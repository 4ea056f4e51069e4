from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from venue.actions.import_register import RegisterHasFaults, import_register, try_register
from venue.models import Membership, Person, Venue
from venue.register.comparison import Comparison
from venue.register.grid import MAX_BYTES, UnreadableFile, too_large
from venue.register.report import report_lines
from venue.roles import may


class Command(BaseCommand):
    help = "Import a register file (.csv or .xlsx) into a venue: all of it, or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--venue", required=True, help="the venue's short name in addresses")
        parser.add_argument("--dry-run", action="store_true", help="say what it would do, only")
        parser.add_argument("--by", default="", help="email of the person it is logged under")

    def handle(self, *args: Any, **options: Any) -> None:
        venue = self._venue(options["venue"])
        by = self._person(options["by"], venue) if options["by"] else None
        content = self._content(options["file"])
        name = options["file"].name
        try:
            comparison = self._run(venue, content, name, by, only_try=options["dry_run"])
        except UnreadableFile as fault:
            raise CommandError(str(fault)) from fault
        except RegisterHasFaults as refusal:
            comparison = refusal.comparison
        for line in report_lines(comparison, done=not options["dry_run"]):
            self.stdout.write(line)
        if comparison.faults:
            raise CommandError("The file has faults. Nothing was changed.")

    def _run(
        self, venue: Venue, content: bytes, name: str, by: Person | None, *, only_try: bool
    ) -> Comparison:
        at = timezone.now()
        if only_try:
            return try_register(venue=venue, content=content, at=at)
        return import_register(venue=venue, content=content, file_name=name, by=by, at=at)

    def _venue(self, slug: str) -> Venue:
        try:
            return Venue.objects.get(slug=slug)
        except Venue.DoesNotExist:
            known = ", ".join(Venue.objects.order_by("slug").values_list("slug", flat=True))
            raise CommandError(
                f"There is no venue “{slug}”. There are: {known or 'none'}."
            ) from None

    def _person(self, email: str, venue: Venue) -> Person:
        held = Membership.objects.filter(venue=venue, person__email=email, ended_on__isnull=True)
        membership = held.select_related("person").first()
        if membership is None or not may(membership.role, "change the register"):
            raise CommandError(f"{email} may not change the register of {venue.name}.")
        return membership.person

    def _content(self, path: Path) -> bytes:
        try:
            size = path.stat().st_size
            if size > MAX_BYTES:
                raise CommandError(str(too_large(size)))
            return path.read_bytes()
        except OSError as fault:
            raise CommandError(f"The file cannot be read: {fault.strerror}.") from fault
