from __future__ import annotations

import json

from django.core.management.base import BaseCommand, CommandError, CommandParser

from rigging.calculators import Answer, BadValue, Calculator, answer, load_calculators, read_values
from rigging.calculators.showing import answer_data, figure_text, other_habit


class Command(BaseCommand):
    help = "Ask a calculator: calc NAME key=value … [--json], or calc --list; docs/calculators.md."
    requires_system_checks = ()  # it needs no database and no settled house

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", nargs="?", help="a calculator, as calc --list names it")
        parser.add_argument("values", nargs="*", metavar="key=value", help="with units, as typed")
        parser.add_argument("--list", action="store_true", help="all calculators with their keys")
        parser.add_argument("--json", action="store_true", help="the answer as JSON")

    def handle(self, *args: object, **options: object) -> None:
        calculators = load_calculators()
        if options["list"]:
            self.stdout.write("\n".join(_listed(one) for one in calculators.values()))
            return
        name = str(options["name"] or "")
        if name not in calculators:
            raise CommandError(f"“{name}” is not a calculator: see calc --list.", returncode=2)
        asked = calculators[name]
        typed = _typed(options["values"])
        try:
            found = answer(asked, read_values(asked, typed))
        except BadValue as fault:
            raise CommandError(f"{name}: {fault.slug}: {fault.sentence}", returncode=2) from fault
        if options["json"]:
            told = json.dumps(answer_data(asked, found, typed), indent=2, ensure_ascii=False)
        else:
            told = "\n".join(_lines(asked, found))
        self.stdout.write(told)


def _typed(pairs: object) -> dict[str, str]:
    typed: dict[str, str] = {}
    assert isinstance(pairs, list)
    for pair in pairs:
        key, sign, value = str(pair).partition("=")
        if not sign or key in typed:
            raise CommandError(f"“{pair}”: type each key once, as key=value.", returncode=2)
        typed[key] = value
    return typed


def _listed(calculator: Calculator) -> str:
    lines = [f"{calculator.slug}: {calculator.title}. {calculator.purpose}"]
    for one in calculator.inputs:
        what = " | ".join(slug for slug, _ in one.choices) or one.hint
        left = f" [{one.default}]" if one.default else " (may be left out)" if one.optional else ""
        lines.append(f"    {one.slug}={what}{left}  {one.label}")
    return "\n".join(lines)


def _lines(calculator: Calculator, found: Answer) -> list[str]:
    lines = [calculator.title]
    for figure in found.figures:
        other = other_habit(figure)
        lines.append(f"{figure.label}: {figure_text(figure)}{f' ({other})' if other else ''}")
    lines += [f"{one.label}: {one.state}. {one.words} [{one.source}]" for one in found.checks]
    for table in found.tables:
        lines += [table.title, "  " + " | ".join(table.headings)]
        lines += ["  " + " | ".join(row) for row in table.rows]
    lines += [one.sentence for one in found.cannot]
    for head, told in (
        ("Warning", found.warnings), ("Working", found.working), ("Taken for granted", found.assumptions),
        ("Holds only", found.limits), ("Source", [f"{s} ({s.backing})" for s in calculator.sources]),
    ):  # fmt: skip
        lines += [f"{head}: {line}" for line in told]
    return [*lines, found.caution]
