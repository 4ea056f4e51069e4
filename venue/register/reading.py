"""A file's bytes as named rows, whichever of the two formats it is in. Pure."""

from __future__ import annotations

from venue.register.columns import read_sheet
from venue.register.csv_text import read_csv
from venue.register.grid import MAX_BYTES, Sheet, UnreadableFile, too_large
from venue.register.held import House
from venue.register.kind_words import known_columns
from venue.register.written import register_columns
from venue.register.xlsx_sheet import read_xlsx

ZIP = b"PK\x03\x04"
OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"


def read_file(content: bytes, house: House) -> Sheet:
    """Rows by column name. The content decides the format; a file's name is only a name."""
    if len(content) > MAX_BYTES:
        raise too_large(len(content))
    if not content.strip():
        raise UnreadableFile("The file is empty.")
    if content.startswith(OLD_WORKBOOK):
        raise UnreadableFile(
            "This is an old (.xls) or a protected workbook. Save it as .xlsx, without a password."
        )
    grid = read_xlsx(content) if content.startswith(ZIP) else read_csv(content)
    # A field that a kind no longer has may still be held; its column is then known too.
    return read_sheet(grid, {*known_columns(), *register_columns(house)})
