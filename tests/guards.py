"""Lift the triggers on evidence, in the tests' own database only: to make up a state that no action
makes, and to empty the tables after a test that commits. The product has no such way."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection
from django.db.backends.base.operations import BaseDatabaseOperations


@contextmanager
def unguarded() -> Iterator[None]:
    """Evidence may be changed in here. On PostgreSQL only a superuser, as the tests are, may do so."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("set session_replication_role = replica")
            yield
            cursor.execute("set session_replication_role = default")
            return
        cursor.execute("select name, sql from sqlite_master where type = 'trigger'")
        triggers = cursor.fetchall()
        for name, _ in triggers:
            cursor.execute(f"drop trigger {name}")
        yield
        for _, written in triggers:
            cursor.execute(written)


def lift_for_flush() -> None:
    """Django empties every table after a test that commits; that alone is let through."""
    flush = BaseDatabaseOperations.execute_sql_flush

    def unguarded_flush(operations: Any, statements: Any) -> None:
        with unguarded():
            flush(operations, statements)

    BaseDatabaseOperations.execute_sql_flush = unguarded_flush  # type: ignore[method-assign]
