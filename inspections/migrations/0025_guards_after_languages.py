from importlib import import_module

from django.db import migrations


def guard_again(apps, schema_editor):
    """SQLite made both tables anew for their language, and their triggers were gone with the old ones."""
    guard = import_module("inspections.migrations.0007_evidence_guards").guard
    for name in ("Person", "Venue"):
        guard(schema_editor, apps.get_model("venue", name))


class Migration(migrations.Migration):
    dependencies = [
        ("inspections", "0024_desk_mails"),
        ("venue", "0011_languages"),
    ]

    operations = [migrations.RunPython(guard_again)]
