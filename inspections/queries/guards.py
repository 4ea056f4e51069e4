"""Which of the database's guards on evidence are missing."""

from __future__ import annotations

from django.apps import apps
from django.db import connection

from inspections.evidence_tables import NEVER_DELETED, ONLY_ADDED, ONLY_EMPTIED, guard_names


def guards_wanted() -> set[str]:
    """The names of every trigger that this database should have."""
    postgres = connection.vendor == "postgresql"
    return {
        name
        for model in (*ONLY_ADDED, *NEVER_DELETED)
        for name in guard_names(
            apps.get_model(model)._meta.db_table,
            only_added=model in ONLY_ADDED,
            truncates=postgres,
            emptied=model in ONLY_EMPTIED,
        )
    }


def guards_missing() -> list[str]:
    """Dropped, or on PostgreSQL switched off."""
    there = "select name from sqlite_master where type = 'trigger'"
    if connection.vendor == "postgresql":
        there = "select tgname from pg_trigger where not tgisinternal and tgenabled in ('O', 'A')"
    with connection.cursor() as cursor:
        cursor.execute(there)
        return sorted(guards_wanted() - {name for (name,) in cursor.fetchall()})
