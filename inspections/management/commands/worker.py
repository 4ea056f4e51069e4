"""`manage.py worker`: do background work until told to stop."""

from argparse import ArgumentParser
from dataclasses import asdict, fields
from typing import Any

from django.core.management.base import BaseCommand

from inspections.jobs import make_seals
from inspections.supervisor import Patience, Supervisor


class Command(BaseCommand):
    """Runs the background workers under a supervisor."""

    help = "Do background work until told to stop (SIGTERM or Ctrl-C)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Every patience may be set, chiefly so that tests need not wait."""
        for name, seconds in asdict(Patience()).items():
            option = "--" + name.replace("_", "-")
            parser.add_argument(option, type=float, default=seconds, metavar="SECONDS")

    def handle(self, *args: Any, **options: Any) -> None:
        """Supervise."""
        make_seals()
        patience = Patience(**{field.name: options[field.name] for field in fields(Patience)})
        Supervisor(patience).run()
