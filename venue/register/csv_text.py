"""Register files as comma-separated text: UTF-8 only, and said so when it is something else."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from venue.register.grid import (
    MAX_CELL,
    MAX_COLUMNS,
    MAX_ROWS,
    Cell,
    Grid,
    Refused,
    UnreadableFile,
    too_many_columns,
    too_many_rows,
)
from venue.register.guard import guarded

SAVE_AS_UTF8 = (
    "In the spreadsheet choose “Save as” and the type “CSV UTF-8”, or save it as .xlsx, "
    "and send that file."
)
_OTHER_ENCODINGS = (b"\xff\xfe", b"\xfe\xff")


def read_csv(content: bytes) -> Grid:
    """Rows of cells. Comma, semicolon or tab; whichever the heading row uses.

    >>> list(read_csv("tag;name\\nCW-1;Main border\\n".encode()))
    [(1, ['tag', 'name']), (2, ['CW-1', 'Main border'])]
    """
    text = _decoded(content)
    number, text = _without_separator_line(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    try:
        for cells in reader:
            number += 1
            if number > MAX_ROWS:
                raise too_many_rows()
            if len(cells) > MAX_COLUMNS and any(cells[MAX_COLUMNS:]):
                raise too_many_columns(len(cells))
            yield number, [_cell(cell) for cell in cells[:MAX_COLUMNS]]
    except csv.Error as fault:
        raise UnreadableFile(
            f"Row {number + 1} cannot be read: a quotation mark opens a cell and does not close "
            "it, or stands in the middle of a quoted cell. Inside a quoted cell write it twice."
        ) from fault


def write_csv(rows: Iterable[Sequence[str]]) -> bytes:
    """Comma-separated UTF-8 with a byte-order mark, so spreadsheets open accents rightly."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    for row in rows:
        writer.writerow([guarded(cell) for cell in row])
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def _decoded(content: bytes) -> str:
    if content.startswith(_OTHER_ENCODINGS) or b"\x00" in content:
        raise UnreadableFile(
            f"The file is not UTF-8 text (it may be “Unicode text”). {SAVE_AS_UTF8}"
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content[: fault.start].count(b"\n") + 1
        raise UnreadableFile(
            f"The file is not UTF-8: line {line} holds a character in another encoding; "
            f"guessing would garble names. {SAVE_AS_UTF8}"
        ) from fault


def _without_separator_line(text: str) -> tuple[int, str]:
    # Some spreadsheets put "sep=;" first; it counts as a row of the file.
    first, _, rest = text.partition("\n")
    return (
        (1, rest)
        if first.strip().strip('"').lower() in ("sep=;", "sep=,", "sep=\t", "sep=")
        else (0, text)
    )


def _delimiter(text: str) -> str:
    heading = text[:100_000].lstrip("\r\n").splitlines()[:1]
    return max(",;\t", key=heading[0].count) if heading else ","


def _cell(text: str) -> Cell:
    if len(text) > MAX_CELL:
        return Refused(f"holds {len(text):,} characters; at most {MAX_CELL:,} are read")
    return text.replace("\r\n", "\n").replace("\r", "\n")
