from __future__ import annotations

import json
import sys
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from rigging.engine import FaultyFact, RuleSetRefused, answer_request, load_rulesets


class Command(BaseCommand):
    help = (
        "Judge one rope from a JSON file (or - for standard input); docs/judge.md has the shapes."
    )
    requires_system_checks = ()  # it needs no database and no settled house

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="a JSON file, or - for standard input")

    def handle(self, *args: object, **options: object) -> None:
        name = str(options["file"])
        try:
            answer = answer_request(_text_of(name), load_rulesets())
        except (FaultyFact, RuleSetRefused) as fault:
            raise CommandError(f"{name}: {fault}", returncode=2) from fault
        self.stdout.write(json.dumps(answer, indent=2, ensure_ascii=False))


def _text_of(name: str) -> str:
    try:
        return sys.stdin.read() if name == "-" else Path(name).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise FaultyFact("file", f"cannot be read: {fault}") from fault
