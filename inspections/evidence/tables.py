"""Tables as text that a spreadsheet opens and cannot be made to execute."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from venue.register.guard import guarded


def csv_chunks(heading: Sequence[str], rows: Iterable[Sequence[Any]]) -> Iterator[str]:
    """Comma-separated text, a row at a time, with a byte-order mark for spreadsheets.

    >>> "".join(csv_chunks(["what", "value"], [["=1+1", None], ["a,b", 3]]))
    '\\ufeffwhat,value\\r\\n\\'=1+1,\\r\\n"a,b",3\\r\\n'
    """
    yield "\ufeff" + _line(heading)
    for row in rows:
        yield _line(row)


def _line(cells: Sequence[Any]) -> str:
    out = io.StringIO(newline="")
    csv.writer(out).writerow([guarded("" if cell is None else str(cell)) for cell in cells])
    return out.getvalue()


class Counted:
    """Rows on their way, counted and tallied by the text of one cell."""

    def __init__(self, rows: Iterable[Sequence[Any]], tally: int | None = None) -> None:
        self._rows, self._tally = rows, tally
        self.number = 0
        self.tallied: dict[str, int] = {}

    def __iter__(self) -> Iterator[Sequence[Any]]:
        for row in self._rows:
            self.number += 1
            if self._tally is not None:
                word = str(row[self._tally])
                self.tallied[word] = self.tallied.get(word, 0) + 1
            yield row
