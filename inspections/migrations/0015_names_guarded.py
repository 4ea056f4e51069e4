"""The names beside the log: only ever added, and emptied together, once, for good."""

from importlib import import_module

from django.db import migrations

MAY_CHANGE = ("said", "salt", "removed_at")


def guard_names(apps, schema_editor):
    model = apps.get_model("venue", "KeptName")
    import_module("inspections.migrations.0007_evidence_guards").guard(
        schema_editor, model, MAY_CHANGE
    )
    guard_refill(schema_editor, model, ("said", "salt"))


def guard_refill(schema_editor, model, emptied):
    """Where one of the columns that may change does, all of `emptied` must become empty and
    `removed_at` be set, which it was not before."""
    postgres = schema_editor.connection.vendor == "postgresql"
    table, differs = model._meta.db_table, "is distinct from" if postgres else "is not"
    changes = " or ".join(f"new.{each} {differs} old.{each}" for each in (*emptied, "removed_at"))
    emptying = " and ".join(f"new.{each} = ''" for each in emptied)
    once = "old.removed_at is null and new.removed_at is not null"
    name, on = f"evidence_{table}_refill", f" on {table}" if postgres else ""
    schema_editor.execute(f"drop trigger if exists {name}{on}", params=None)
    condition = f"when (({changes}) and not ({emptying} and {once}))"
    words = f"evidence is only ever added: refill on {table} is refused"
    ends = "execute function evidence_stays()"
    if not postgres:
        ends = f"begin select raise(abort, '{words}'); end"
    schema_editor.execute(
        f"create trigger {name} before update on {table} for each row {condition} {ends}",
        params=None,
    )


class Migration(migrations.Migration):
    dependencies = [
        ("inspections", "0014_countersignatures"),
        ("venue", "0009_names_beside_the_log"),
    ]

    operations = [migrations.RunPython(guard_names)]
