from importlib import import_module

import django.db.models.deletion
from django.db import migrations, models


def guard_records(apps, schema_editor):
    """Whatever the database does to add a column, records stay as they were written."""
    guard = import_module("inspections.migrations.0007_evidence_guards").guard
    guard(schema_editor, apps.get_model("inspections", "Record"), ())


class Migration(migrations.Migration):
    dependencies = [
        ("inspections", "0034_a_run_may_pause"),
        ("venue", "0013_place_side"),
    ]

    operations = [
        migrations.AddField(
            model_name="draft",
            name="worked",
            field=models.JSONField(default=dict),
        ),
        migrations.AddField(
            model_name="record",
            name="hours_worked",
            field=models.DecimalField(blank=True, decimal_places=2, max_digits=5, null=True),
        ),
        migrations.AddField(
            model_name="record",
            name="people_worked",
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.CreateModel(
            name="HoursChoice",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("regime", models.SlugField(max_length=80)),
                ("family", models.SlugField(max_length=80)),
                ("keep_estimate", models.BooleanField(default=False)),
                (
                    "venue",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hours_choices",
                        to="venue.venue",
                    ),
                ),
            ],
            options={
                "ordering": ["regime", "family"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("venue", "regime", "family"),
                        name="one_hours_choice_per_kind_of_check",
                    )
                ],
            },
        ),
        migrations.RunPython(guard_records),
    ]
