from importlib import import_module

from django.db import migrations


def guard_again(apps, schema_editor):
    """SQLite made the table of places anew for their sides, and its trigger was gone with the old one."""
    guard = import_module("inspections.migrations.0007_evidence_guards").guard
    guard(schema_editor, apps.get_model("venue", "Place"))


class Migration(migrations.Migration):
    dependencies = [
        ("inspections", "0028_push_devices"),
        ("venue", "0013_place_side"),
    ]

    operations = [migrations.RunPython(guard_again)]
