"""Tells, of the tasks that are there, which published plan gave them their day, their person and the
reason why they are late, as far as the plans' own rows show it. What no plan has is a person's.

Reasons stay as they are written, because the log tells them so; the next publishing may take them away.
"""

from django.db import migrations

WORDS_OF_A_PLAN = "has no lawful half-day for it that is sooner; see the plan’s reasons."


def name_the_plans(apps, schema_editor):
    planned = apps.get_model("inspections", "PlannedTask").objects
    examiners = set(
        apps.get_model("venue", "Competence")
        .objects.filter(level="outside_examiner")
        .values_list("person", flat=True)
    )
    tasks = apps.get_model("inspections", "Task").objects.filter(day_agreed=True)
    rows = planned.filter(year_plan__state__in=["published", "withdrawn"], task__day_agreed=True)
    given = {}
    for row in rows.select_related("task").order_by("year_plan__published_at", "pk").iterator():
        if row.day == row.task.planned_on:
            given[row.task_id] = row
    for task in tasks.filter(pk__in=given):
        row = given[task.pk]
        leads = row.crew.filter(leads=True).values_list("person", flat=True)
        task.day_from_id = row.year_plan_id
        if task.person_id in leads or (row.examiner and task.person_id in examiners):
            task.person_from_id = row.year_plan_id
        if task.deferred_why.endswith(WORDS_OF_A_PLAN):
            task.why_from_id = row.year_plan_id
        task.save(update_fields=["day_from", "person_from", "why_from"])


class Migration(migrations.Migration):
    dependencies = [("inspections", "0036_which_plan_gave_it")]

    operations = [migrations.RunPython(name_the_plans, migrations.RunPython.noop)]
