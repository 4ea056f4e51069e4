"""Rows that are made once for a whole file of tests, and seen by each of them in a savepoint.

For what takes seconds to make, such as a printed and sealed report. What a test adds or changes is
undone after it, as ever; what it does to the objects must be done to a copy.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import transaction


@contextmanager
def rows_of_a_file(blocker: Any) -> Iterator[None]:
    """Keeps what is made inside until the end; `blocker` is pytest-django's own."""
    around = transaction.atomic()
    around._from_testcase = (
        True  # as Django's own: a transaction that must be the outermost may be in it
    )
    with blocker.unblock():
        around.__enter__()
    try:
        yield
    finally:
        with blocker.unblock():
            transaction.set_rollback(True)
            around.__exit__(None, None, None)
