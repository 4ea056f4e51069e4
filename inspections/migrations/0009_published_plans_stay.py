"""Triggers that refuse to change a published or withdrawn year plan, its tasks and their people, on
SQLite and on PostgreSQL. A published plan may still be withdrawn, with its reason; no more.

On SQLite a migration that rebuilds one of these tables drops its triggers: let it end with `guard_all`
of 0038 again, by importlib. A test tries every table.
"""

from importlib import import_module

from django.db import migrations

CLOSED = "('published', 'withdrawn')"
MAY_CHANGE = ("state", "withdrawn_why")
HELD = "(select 1 from inspections_yearplan where id = {plan} and state in {closed})"
WORDS = "a published year plan stays: {} on {} is refused"
# Table -> how one of its rows reaches its year plan.
PARTS = {
    "inspections_plannedtask": "{row}.year_plan_id",
    "inspections_plannedperson": (
        "(select year_plan_id from inspections_plannedtask where id = {row}.planned_id)"
    ),
}
FUNCTION = """
create or replace function published_{table}_stays() returns trigger language plpgsql as $$
begin
  if tg_op = 'INSERT' then
    perform 1 from inspections_yearplan where id = {new} and state in {closed};
  else
    perform 1 from inspections_yearplan where id = {old} and state in {closed};
  end if;
  if found then
    raise exception 'a published year plan stays: % on {table} is refused', lower(tg_op)
      using errcode = 'integrity_constraint_violation';
  end if;
  if tg_op = 'DELETE' then return old; end if;
  return new;
end $$
"""


def guard_parts(schema_editor, postgres):
    for table, reached in PARTS.items():
        new, old = reached.format(row="new"), reached.format(row="old")
        if postgres:
            text = FUNCTION.format(table=table, new=new, old=old, closed=CLOSED)
            schema_editor.execute(text, params=None)
        for deed in ("insert", "update", "delete"):
            plan = new if deed == "insert" else old
            refused = (
                f"begin select raise(abort, '{WORDS.format(deed, table)}') where exists "
                f"{HELD.format(plan=plan, closed=CLOSED)}; end"
            )
            ends = f"execute function published_{table}_stays()" if postgres else refused
            make(schema_editor, postgres, table, deed, f"for each row {ends}")


def guard_plans(schema_editor, postgres, model):
    """Only published -> withdrawn, with the reason; and never away."""
    guards = import_module("inspections.migrations.0007_evidence_guards")
    table = model._meta.db_table
    differs = guards.changed(model, MAY_CHANGE, postgres).removeprefix("when (").removesuffix(")")
    back = "(new.state <> old.state and new.state <> 'withdrawn')"
    conditions = {
        "update": f"old.state in {CLOSED} and ({differs} or {back})",
        "delete": f"old.state in {CLOSED}",
    }
    if postgres:
        schema_editor.execute(guards.FUNCTION, params=None)
    for deed, condition in conditions.items():
        refused = f"begin select raise(abort, '{WORDS.format(deed, table)}'); end"
        ends = "execute function evidence_stays()" if postgres else refused
        make(schema_editor, postgres, table, deed, f"for each row when ({condition}) {ends}")


def make(schema_editor, postgres, table, deed, ends):
    name = f"published_{table}_{deed}"
    gone = f"drop trigger if exists {name}" + (f" on {table}" if postgres else "")
    schema_editor.execute(gone, params=None)
    schema_editor.execute(f"create trigger {name} before {deed} on {table} {ends}", params=None)


def guard_all(apps, schema_editor):
    postgres = schema_editor.connection.vendor == "postgresql"
    guard_parts(schema_editor, postgres)
    guard_plans(schema_editor, postgres, apps.get_model("inspections", "YearPlan"))


class Migration(migrations.Migration):
    dependencies = [("inspections", "0008_task_feeds")]

    operations = [migrations.RunPython(guard_all)]
