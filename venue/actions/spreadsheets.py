"""A spreadsheet on its way into the register: kept, spoken about, read in or thrown away."""

from __future__ import annotations

import hashlib
from datetime import datetime

from django.db import transaction

from venue.actions.import_register import RegisterMovedOn, import_register
from venue.actions.log import Deed, write_line, write_lines
from venue.models import Equipment, ListedDay, Person, Spreadsheet, Venue
from venue.queries.listed_days import fresh_looks, looks_digest
from venue.queries.spreadsheets import understood_of
from venue.register.comparison import Comparison
from venue.spreadsheet.row_shapes import LastLooked
from venue.spreadsheet.saying import Said
from venue.spreadsheet.sheets import read_sheets


class NothingToRead(ValueError):
    """No row of the spreadsheet is ready; nothing was changed."""


def keep_spreadsheet(
    *, venue: Venue, content: bytes, file_name: str, by: Person, at: datetime
) -> Spreadsheet:
    """In place of the one before. Raises UnreadableFile. What was said of a file whose sheets have the
    same names and headings would fit again, but nobody can know; it begins anew."""
    read_sheets(content)
    with transaction.atomic():
        fresh = {"file_name": file_name[:200], "content": content, "said": {}, "by": by, "at": at}
        row, _ = Spreadsheet.objects.update_or_create(venue=venue, defaults=fresh)
        after = {"file": file_name[:200], "sha256": hashlib.sha256(content).hexdigest()}
        write_line(venue=venue, by=by, at=at, did="keep_spreadsheet", subject=row, after=after)
    return row


def say_of_spreadsheet(*, spreadsheet: Spreadsheet, said: Said, by: Person, at: datetime) -> None:
    """A draft: the log tells of what is read in, not of every change of mind before it."""
    Spreadsheet.objects.filter(pk=spreadsheet.pk).update(said=said.stored(), by=by, at=at)


def drop_spreadsheet(*, spreadsheet: Spreadsheet, by: Person, at: datetime) -> None:
    with transaction.atomic():
        after = {"file": spreadsheet.file_name}
        write_line(
            venue=spreadsheet.venue, by=by, at=at, did="drop_spreadsheet", subject=spreadsheet,
            after=after,
        )  # fmt: skip
        Spreadsheet.objects.filter(pk=spreadsheet.pk).delete()


def import_spreadsheet(
    *, spreadsheet: Spreadsheet, expected: str, by: Person, at: datetime
) -> Comparison:
    """All of it, exactly as it was shown, or nothing; by the register's own reader. `expected` is the
    digest of what was shown. Raises what the reader raises, and NothingToRead."""
    of_register, _, of_looks = expected.partition("-")
    with transaction.atomic():
        locked = Spreadsheet.objects.select_for_update().get(pk=spreadsheet.pk)
        understood = understood_of(locked, at)[2]
        content, looks = understood.register_file(), understood.last_looks
        if not content:
            raise NothingToRead("No row is ready to be read in.")
        done = import_register(
            venue=spreadsheet.venue, content=content, file_name=locked.file_name, by=by, at=at,
            expected=of_register or "-",
        )  # fmt: skip
        if of_looks != looks_digest(looks):
            raise RegisterMovedOn(done)
        _keep_looks(locked, looks, by, at)
        Spreadsheet.objects.filter(pk=locked.pk).delete()
    return done


def _keep_looks(
    spreadsheet: Spreadsheet, looks: dict[str, LastLooked], by: Person, at: datetime
) -> None:
    """The days of a last look, for the plans that are made later. No record is made of them."""
    venue = spreadsheet.venue
    fresh = {tag.casefold(): look for tag, look in fresh_looks(venue, looks).items()}
    rows = [
        ListedDay(
            equipment=thing, day=look.day, heading=look.heading, text=look.text,
            file_name=spreadsheet.file_name, at=at,
        )
        for thing in Equipment.objects.in_venue(venue).order_by("pk")
        if (look := fresh.get(thing.tag.casefold()))
    ]  # fmt: skip
    ListedDay.objects.bulk_create(rows, batch_size=500)
    deeds = [Deed("keep_listed_day", row.equipment, after=_told(row)) for row in rows]
    if deeds:
        write_lines(venue=venue, by=by, at=at, deeds=deeds)


def _told(row: ListedDay) -> dict[str, object]:
    return {"day": row.day, "heading": row.heading, "text": row.text, "file": row.file_name}
