"""Import a register file: all of it or nothing, in one transaction, told in the log."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from venue.actions.log import write_lines
from venue.actions.register_lines import deeds_of
from venue.actions.register_rows import write_changes
from venue.models import Equipment, Part, Person, Venue
from venue.queries.register import register_rows_of
from venue.register.compare import compare
from venue.register.comparison import Comparison
from venue.register.reading import read_file


class RegisterHasFaults(ValueError):
    """The file has faults; nothing was changed."""

    def __init__(self, comparison: Comparison) -> None:
        count = len(comparison.faults)
        words = "The file has a fault." if count == 1 else f"The file has {count} faults."
        super().__init__(f"{words} Nothing was changed.")
        self.comparison = comparison


class RegisterMovedOn(ValueError):
    """The house changed between the trial and the confirmation; nothing was changed."""

    def __init__(self, comparison: Comparison) -> None:
        super().__init__(
            "The house has changed since the file was tried. Look at the new result below and "
            "confirm again. Nothing was changed."
        )
        self.comparison = comparison


def try_register(*, venue: Venue, content: bytes, at: datetime) -> Comparison:
    """What importing the file would do now. Writes nothing. Raises UnreadableFile."""
    rows = register_rows_of(venue, at.astimezone(venue.zone).date())
    return compare(read_file(content, rows.house), rows.house)


def import_register(
    *, venue: Venue, content: bytes, file_name: str, by: Person | None, at: datetime,
    expected: str = "",
) -> Comparison:  # fmt: skip
    """Apply the file. `expected` is the digest of what a person was shown and agreed to.

    Raises UnreadableFile, RegisterHasFaults, RegisterMovedOn; then nothing was changed.
    """
    with transaction.atomic():
        _wait_for_turn(venue)
        rows = register_rows_of(venue, at.astimezone(venue.zone).date())
        comparison = compare(read_file(content, rows.house), rows.house)
        if comparison.faults:
            raise RegisterHasFaults(comparison)
        if expected and expected != comparison.digest():
            raise RegisterMovedOn(comparison)
        if comparison.changes:
            write_changes(venue, comparison, rows)
            deeds = deeds_of(venue, comparison, rows, file_name, content)
            write_lines(venue=venue, by=by, at=at, deeds=deeds)
    return comparison


def _wait_for_turn(venue: Venue) -> None:
    # Two imports follow one another, and nobody edits the register in between. The weaker lock
    # on the venue leaves room for records, which only point to it.
    Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)
    list(Equipment.objects.in_venue(venue).select_for_update(no_key=True).values_list("pk"))
    in_venue = Part.objects.filter(equipment__venue=venue).order_by("pk")
    list(in_venue.select_for_update(no_key=True).values_list("pk"))
