from importlib import import_module

from django.conf import settings
from django.db import migrations, models


def guard_again(apps, schema_editor):
    """SQLite makes the table anew for each column, and its trigger is gone with the old one."""
    guard = import_module("inspections.migrations.0007_evidence_guards").guard
    guard(schema_editor, apps.get_model("inspections", "Task"))


def fill_from_published_plans(apps, schema_editor):
    """Of an open task that still lies on the day which the newest published plan gave it."""
    PlannedTask = apps.get_model("inspections", "PlannedTask")
    published = PlannedTask.objects.filter(
        year_plan__published_at__isnull=False, task__state="open", task__day_agreed=True
    ).order_by("year_plan__published_at", "year_plan_id")
    newest = {row.task_id: row for row in published.select_related("task").prefetch_related("crew")}
    for row in newest.values():
        task = row.task
        if row.day != task.planned_on:
            continue
        task.half, task.half_days = row.half, row.half_days
        task.save(update_fields=["half", "half_days"])
        there = {part.person_id: part.leads for part in row.crew.all()}
        everybody = bool(row.examiner) or task.person_id in there
        task.helpers.set(
            person
            for person, leads in there.items()
            if person != task.person_id and (everybody or not leads)
        )


class Migration(migrations.Migration):
    dependencies = [
        ("inspections", "0030_listed_days_guarded"),
        ("venue", "0013_place_side"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="task",
            name="half",
            field=models.CharField(
                blank=True, choices=[("am", "Morning"), ("pm", "Afternoon")], max_length=2
            ),
        ),
        migrations.AddField(
            model_name="task",
            name="half_days",
            field=models.PositiveSmallIntegerField(default=1),
        ),
        migrations.AddField(
            model_name="task",
            name="helpers",
            field=models.ManyToManyField(blank=True, related_name="+", to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("half", ""), ("day_agreed", True), _connector="OR"),
                name="only_an_agreed_day_has_a_half",
            ),
        ),
        migrations.RunPython(guard_again),
        migrations.RunPython(fill_from_published_plans),
    ]
