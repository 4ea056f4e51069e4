from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from rigging.engine import (
    RuleSet,
    RuleSetRefused,
    confirmable,
    faults_of_example,
    load_ruleset,
    load_rulesets,
)
from rigging.engine.limit_set_files import load_limit_sets


class Command(BaseCommand):
    help = "List the rule sets and printed limits, or read a rule set of your own and try it."
    requires_system_checks = ()  # it needs no database and no settled house

    def add_arguments(self, parser: CommandParser) -> None:
        wanted = parser.add_mutually_exclusive_group(required=True)
        wanted.add_argument("--list", action="store_true", help="every rule set, one a line")
        wanted.add_argument("--limits", action="store_true", help="every printed limit, one a line")
        wanted.add_argument("--read", metavar="FILE", help="read a file and run its examples")
        parser.add_argument("--json", action="store_true", help="the list as JSON")

    def handle(self, *args: object, **options: Any) -> None:
        if options["read"]:
            self.stdout.write(_read(Path(options["read"])))
            return
        rows = _rulesets() if options["list"] else _limits()
        if options["json"]:
            self.stdout.write(json.dumps(rows, indent=2, ensure_ascii=False))
            return
        for row in rows:
            self.stdout.write("  ".join(str(value) for value in row.values() if value != ""))


def _rulesets() -> list[dict[str, Any]]:
    return [_told(each) for each in load_rulesets().values()]


def _told(rules: RuleSet) -> dict[str, Any]:
    return {
        "slug": rules.slug, "title": rules.title, "edition": rules.edition,
        "status": rules.status, "verified": rules.verified, "criteria": len(rules.criteria),
        "switched_off": len(confirmable(rules)), "examples": len(rules.examples),
        "sha256": rules.hash,
    }  # fmt: skip


def _limits() -> list[dict[str, Any]]:
    return [
        {
            "limit": f"{limits.slug}:{limit.slug}", "words": limit.words,
            "figure": limit.limit_text, "document": limit.source.document, "clause": limit.clause,
            "verified": limit.verified, "switched_off": limit.off,
        }
        for limits in load_limit_sets().values()
        for limit in limits.limits
    ]  # fmt: skip


def _read(path: Path) -> str:
    """Whether a file can be used: read, its examples run."""
    try:
        rules = load_ruleset(path)
    except OSError as fault:
        raise CommandError(f"{path}: cannot be read: {fault}", returncode=2) from fault
    except RuleSetRefused as fault:
        raise CommandError(str(fault), returncode=2) from fault
    faults = [fault for each in rules.examples for fault in faults_of_example(rules, each)]
    if faults:
        raise CommandError("\n".join(faults), returncode=2)
    return f"{rules.title}: {len(rules.criteria)} criteria, {len(rules.examples)} examples hold."
