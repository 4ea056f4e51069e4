from importlib import import_module

from django.db import migrations


def guard_listed_days(apps, schema_editor):
    """What a list said is what a plan is counted from: it stays as it was read."""
    guard = import_module("inspections.migrations.0007_evidence_guards").guard
    guard(schema_editor, apps.get_model("venue", "ListedDay"), ())


class Migration(migrations.Migration):
    dependencies = [
        ("inspections", "0029_guards_after_sides"),
        ("venue", "0013_place_side"),
    ]

    operations = [migrations.RunPython(guard_listed_days)]
