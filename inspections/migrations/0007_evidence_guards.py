"""Triggers that refuse to change or delete evidence, on SQLite and on PostgreSQL.

The lists are those of inspections/evidence_tables.py as they were. A later migration guards a new
table with `guard` of this file, by importlib. On SQLite a migration that rebuilds a guarded table
drops its triggers: let it end with `guard` again. A test compares the database with the list.
"""

from django.db import migrations

ONLY_ADDED = {
    ("venue", "LogLine"): (),
    ("venue", "KeptFile"): (),
    ("venue", "Competence"): (),
    ("rigging", "RopeObserved"): (),
    ("rigging", "CalculationKept"): (),
    ("rigging", "RuleChoice"): ("ended_on",),
    ("rigging", "FigureConfirmed"): ("ended_on", "ended_why"),
    ("inspections", "RegimeVersion"): (),
    ("inspections", "Record"): (),
    ("inspections", "Answer"): (),
    ("inspections", "AnswerPhoto"): (),
    ("inspections", "Reading"): (),
    ("inspections", "Judged"): (),
    ("inspections", "RecordNote"): (),
    ("inspections", "CheckFile"): (),
    ("inspections", "Finding"): (),
    ("inspections", "Order"): (),
    ("inspections", "Remedy"): (),
    ("inspections", "RemedyFile"): (),
    ("inspections", "ReturnToService"): (),
    ("inspections", "AuthorityNotice"): (),
    ("inspections", "Report"): (),
    ("inspections", "ReportRecord"): (),
    ("inspections", "Sent"): (),
    ("inspections", "SentPhotograph"): (),
    ("inspections", "KeptAside"): (),
    ("inspections", "PhoneSignature"): (),
}
NEVER_DELETED = [
    ("venue", "Organisation"),
    ("venue", "Venue"),
    ("venue", "LogHead"),
    ("venue", "Person"),
    ("venue", "Membership"),
    ("venue", "Place"),
    ("venue", "Equipment"),
    ("venue", "Part"),
    ("inspections", "Plan"),
    ("inspections", "Task"),
]

FUNCTION = """
create or replace function evidence_stays() returns trigger language plpgsql as $$
begin
  raise exception 'evidence is only ever added: % on % is refused', lower(tg_op), tg_table_name
    using errcode = 'integrity_constraint_violation';
end $$
"""


def guard(schema_editor, model, may_change=None):
    """Refuse DELETE and TRUNCATE; with `may_change`, refuse UPDATE of every other column too."""
    postgres = schema_editor.connection.vendor == "postgresql"
    table = model._meta.db_table
    deeds = [("delete", "")]
    if may_change is not None:
        deeds.append(("update", changed(model, may_change, postgres)))
    if postgres:
        schema_editor.execute(FUNCTION, params=None)
        deeds.append(("truncate", ""))
    for deed, condition in deeds:
        name = f"evidence_{table}_{deed}"
        on = (
            f"drop trigger if exists {name} on {table}"
            if postgres
            else f"drop trigger if exists {name}"
        )
        schema_editor.execute(on, params=None)
        if postgres:
            each = "statement" if deed == "truncate" else "row"
            ends = f"for each {each} {condition} execute function evidence_stays()"
        else:
            words = f"evidence is only ever added: {deed} on {table} is refused"
            ends = f"for each row {condition} begin select raise(abort, '{words}'); end"
        schema_editor.execute(f"create trigger {name} before {deed} on {table} {ends}", params=None)


def changed(model, may_change, postgres):
    """Nothing where no column may change; else the columns that may not, compared."""
    if not may_change:
        return ""
    fixed = [field.column for field in model._meta.concrete_fields if field.name not in may_change]
    differs = "is distinct from" if postgres else "is not"
    return "when (" + " or ".join(f'new."{each}" {differs} old."{each}"' for each in fixed) + ")"


def guard_all(apps, schema_editor):
    for known, may_change in ONLY_ADDED.items():
        guard(schema_editor, apps.get_model(*known), may_change)
    for known in NEVER_DELETED:
        guard(schema_editor, apps.get_model(*known))


class Migration(migrations.Migration):
    dependencies = [
        ("venue", "0006_merkle_log"),
        ("rigging", "0003_calculations_kept"),
        ("inspections", "0006_year_plans"),
    ]

    operations = [migrations.RunPython(guard_all)]
