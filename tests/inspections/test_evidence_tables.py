"""Evidence is only ever added: the database itself refuses to change or delete it, raw SQL too."""

from __future__ import annotations

import re
import uuid
from datetime import date
from itertools import count
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction

from inspections.evidence_tables import (
    NEVER_DELETED,
    ONLY_ADDED,
    ONLY_EMPTIED,
    PREFIX,
    guard_names,
)
from rigging.models import RuleChoice
from tests.guards import unguarded
from tests.house import NOW, make_house

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

NUMBERS = count(7000)
GUARDED = [*ONLY_ADDED, *NEVER_DELETED]


def postgres() -> bool:
    return connection.vendor == "postgresql"


def triggers() -> dict[str, str]:
    """Name -> text of every trigger on evidence that the database has."""
    found = "select name, sql from sqlite_master where type = 'trigger'"
    if postgres():
        found = "select tgname, pg_get_triggerdef(oid) from pg_trigger where not tgisinternal"
    with connection.cursor() as cursor:
        cursor.execute(found)
        return {name: text for name, text in cursor.fetchall() if name.startswith(PREFIX)}


def test_the_database_has_exactly_the_guards_of_the_list() -> None:
    wanted = set()
    for name in GUARDED:
        table = apps.get_model(name)._meta.db_table
        wanted |= guard_names(
            table, only_added=name in ONLY_ADDED, truncates=postgres(), emptied=name in ONLY_EMPTIED
        )
    assert set(triggers()) == wanted
    assert len(wanted) == 42 * (3 if postgres() else 2) + 10 * (2 if postgres() else 1) + 1


@pytest.mark.parametrize("name", [name for name, may in ONLY_ADDED.items() if may])
def test_only_the_named_columns_may_change_and_each_has_its_reason(name: str) -> None:
    model, may_change = apps.get_model(name), ONLY_ADDED[name]
    text = triggers()[f"{PREFIX}{model._meta.db_table}_update"].lower().replace('"', "")
    columns = {field.column for field in model._meta.concrete_fields}
    compared = {column for column in columns if re.search(rf"new\.{column}\b", text)}
    assert columns - compared == {model._meta.get_field(each).column for each in may_change}
    assert all(len(why) > 10 for why in may_change.values())


@pytest.mark.parametrize("name", GUARDED)
def test_raw_sql_cannot_delete_a_row_nor_change_one_of_evidence(name: str) -> None:
    table, key = apps.get_model(name)._meta.db_table, apps.get_model(name)._meta.pk.column
    if postgres():
        assert refused(f"truncate {table} cascade")
    with transaction.atomic():
        pk = add_any_row(apps.get_model(name))
        assert refused(f"delete from {table} where {key} = %s", pk)
        changes = refused(f"update {table} set {key} = {key} where {key} = %s", pk)
        assert changes == (name in ONLY_ADDED and not ONLY_ADDED[name])
        if not postgres():
            assert refused(f"insert or replace into {table} select * from {table}")
        transaction.set_rollback(True)


def refused(statement: str, *values: Any) -> bool:
    """Whether the guards, and nothing else, stop it."""
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement, values or None)
    except IntegrityError as refusal:
        return "evidence is only ever added" in str(refusal)
    return False


def add_any_row(model: type[models.Model]) -> Any:
    """A row whose links lead nowhere: it is taken back before they are looked at."""
    row = model()
    for field in model._meta.concrete_fields:
        if not isinstance(field, models.AutoField):
            setattr(row, field.attname, any_value(field))
    if model._meta.label == "inspections.Disposal":
        row.record_id = uuid.uuid4()  # it is of a record or of a report
    row.save_base(raw=True, force_insert=True)
    return str(row.pk).replace("-", "") if needs_hex(row.pk) else row.pk


def needs_hex(pk: Any) -> bool:
    return isinstance(pk, uuid.UUID) and not postgres()


def any_value(field: models.Field[Any, Any]) -> Any:
    if isinstance(field, models.ForeignKey) and field.null:
        return None
    if isinstance(field, models.ForeignKey):
        target = field.target_field
        return uuid.uuid4() if isinstance(target, models.UUIDField) else next(NUMBERS)
    kinds: dict[Any, Any] = {
        models.DateTimeField: None if field.null else NOW,
        models.DateField: None if field.null else date(2026, 2, 1),
        models.JSONField: {}, models.UUIDField: uuid.uuid4(), models.BooleanField: True,
        models.DecimalField: next(NUMBERS) % 100,  # no field of ours holds less
        models.CharField: "" if field.blank else "x", models.TextField: "" if field.blank else "x",
    }  # fmt: skip
    named = [value for kind, value in kinds.items() if isinstance(field, kind)]
    return named[0] if named else next(NUMBERS) % 30000


def test_an_ended_choice_keeps_what_it_said() -> None:
    make_house()
    choice = RuleChoice.objects.earliest("pk")
    row = RuleChoice.objects.filter(pk=choice.pk)
    with pytest.raises(IntegrityError, match="evidence is only ever added"), transaction.atomic():
        row.update(ended_on=date(2026, 6, 1), why="Another reason")
    row.update(ended_on=date(2026, 6, 1))
    choice.refresh_from_db()
    assert choice.ended_on == date(2026, 6, 1)
    with unguarded():
        row.update(why="Only a test may")
    with pytest.raises(IntegrityError), transaction.atomic():
        row.update(why="And not afterwards")
