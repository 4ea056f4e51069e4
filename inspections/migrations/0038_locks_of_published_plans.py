"""A task of a published year plan may be locked where it stands, and unlocked. Nothing else of it
changes, and a withdrawn plan stays whole.

On SQLite a migration that rebuilds one of these tables drops its triggers: let it end with `guard_all`
of this file, by importlib. A test tries every table.
"""

from importlib import import_module

from django.db import migrations

WORDS = "a published year plan stays: update on {} is refused"
FUNCTION = """
create or replace function published_task_stays_but_for_its_lock() returns trigger language plpgsql as $$
begin
  if exists ({held}) then
    raise exception '{words}' using errcode = 'integrity_constraint_violation';
  end if;
  return new;
end $$
"""


def guard_all(apps, schema_editor):
    stays = import_module("inspections.migrations.0009_published_plans_stay")
    stays.guard_all(apps, schema_editor)
    guard_tasks(schema_editor, apps.get_model("inspections", "PlannedTask"), stays.make)


def guard_tasks(schema_editor, model, make):
    """In place of the trigger that refuses every update."""
    postgres, table = schema_editor.connection.vendor == "postgresql", model._meta.db_table
    held, words = held_by_a_plan(model, postgres), WORDS.format(table)
    ends = f"begin select raise(abort, '{words}') where exists ({held}); end"
    if postgres:
        schema_editor.execute(FUNCTION.format(held=held, words=words), params=None)
        ends = "execute function published_task_stays_but_for_its_lock()"
    make(schema_editor, postgres, table, "update", f"for each row {ends}")


def held_by_a_plan(model, postgres):
    """A row where the change of a task is refused."""
    guards = import_module("inspections.migrations.0007_evidence_guards")
    differs = guards.changed(model, ("locked",), postgres).removeprefix("when ")
    return (
        "select 1 from inspections_yearplan where id = old.year_plan_id "  # nosec B608 - our own names
        f"and (state = 'withdrawn' or (state = 'published' and {differs}))"
    )


class Migration(migrations.Migration):
    dependencies = [("inspections", "0037_who_gave_what")]

    operations = [migrations.RunPython(guard_all)]
