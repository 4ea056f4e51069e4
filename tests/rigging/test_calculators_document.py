"""docs/calculators.md shows what the commands really say."""

from __future__ import annotations

import io
import re
import shlex
from pathlib import Path

from django.core.management import call_command
from django.core.management.base import CommandError

DOCUMENT = Path(__file__).parents[2] / "docs" / "calculators.md"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
PROMPT = "$ python manage.py "


def examples(text: str) -> list[tuple[str, str]]:
    """Each command of the console blocks with the output that stands below it."""
    found: list[tuple[str, str]] = []
    for block in BLOCK.findall(text):
        for part in block.split(PROMPT)[1:]:
            command, _, output = part.partition("\n")
            found.append((command, output.strip()))
    return found


def output_of(command: str) -> str:
    out = io.StringIO()
    try:
        call_command(*shlex.split(command), stdout=out)
    except CommandError as fault:
        return f"CommandError: {fault}"
    return out.getvalue().strip()


def test_every_example_of_the_document_says_what_it_is_said_to() -> None:
    shown = examples(DOCUMENT.read_text(encoding="utf-8"))
    wrong = [(command, output_of(command)) for command, output in shown
             if output_of(command) != output]  # fmt: skip
    assert wrong == []
    assert len(shown) >= 6


def test_an_example_that_is_out_of_date_is_found() -> None:
    bad = f"```console\n{PROMPT}calc fleet-angle offset=1m\nFleet angle: 3°\n```"
    (command, output), = examples(bad)  # fmt: skip
    assert output_of(command) != output
