from __future__ import annotations

from django.core.management.base import BaseCommand, CommandParser

from rigging.engine import load_rulesets


class Command(BaseCommand):
    help = "List the rule sets: name, title, edition and status."
    requires_system_checks = ()  # it needs no database and no settled house

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--list", action="store_true", help="all rule sets (also without it)")

    def handle(self, *args: object, **options: object) -> None:
        for rules in load_rulesets().values():
            edition = f", {rules.edition}" if rules.edition else ""
            self.stdout.write(f"{rules.slug}: {rules.title}{edition} ({rules.status})")
