"""Commands: what each says of itself when it is asked for help, and what `make` offers."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

from django.core.management import get_commands, load_command_class
from django.core.management.base import CommandParser

from docs.from_data.markdown import bullets, code, joined, plain

OURS = ("venue", "rigging", "inspections")
PROJECT = Path(__file__).resolve().parent.parent.parent
MAKE_HELP = re.compile(r'@echo "make (\S+)\s+(?:([A-Z]+=\S+)\s+)?(.+)"')


def pages() -> dict[str, str]:
    return {"commands": joined(_page())}


def names() -> dict[str, str]:
    """Our own commands with the app that each belongs to."""
    return {name: app for name, app in sorted(get_commands().items()) if app in OURS}


def _page() -> Iterator[str]:
    yield "# Commands"
    yield (
        "Two kinds: what `make` offers, and what `python manage.py` does, both in the folder of the "
        "project. The environment made by `make setup` has its Python at `.venv/bin/python`."
    )
    yield "## make"
    offers = MAKE_HELP.findall((PROJECT / "Makefile").read_text(encoding="utf-8"))
    yield bullets(
        f"{code(f'make {name} {values}'.strip())}: {plain(words)}" for name, values, words in offers
    )
    for name, app in names().items():
        yield f"## {name}"
        yield f"```text\n{help_of(app, name)}\n```"


def help_of(app: str, name: str) -> str:
    """What `manage.py NAME --help` prints, without what every command of Django has."""
    command = load_command_class(app, name)
    # argparse breaks lines at the width of the terminal it believes to be on.
    with patch.dict(os.environ, {"COLUMNS": "96", "NO_COLOR": "1"}):
        parser = CommandParser(prog=f"manage.py {name}", description=command.help)
        command.add_arguments(parser)
        return parser.format_help().strip()
