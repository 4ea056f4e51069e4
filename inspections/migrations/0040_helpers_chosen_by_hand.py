"""Tells, of the helpers that tasks have, whom a person chose: all but those whom the plan behind the
task had given it."""

from django.db import migrations


def tell_the_chosen(apps, schema_editor):
    tasks = apps.get_model("inspections", "Task").objects.filter(day_agreed=True, state="open")
    given = apps.get_model("inspections", "PlannedPerson").objects
    helped = tasks.exclude(helpers=None).prefetch_related("helpers")
    for task in helped.distinct().iterator(chunk_size=500):
        plan = task.day_from_id or task.person_from_id
        theirs = given.filter(planned__task=task.pk, planned__year_plan=plan)
        known = set(theirs.values_list("person", flat=True)) if plan else set()
        task.chosen_helpers.set([each for each in task.helpers.all() if each.pk not in known])


class Migration(migrations.Migration):
    dependencies = [("inspections", "0039_chosen_helpers")]

    operations = [migrations.RunPython(tell_the_chosen, migrations.RunPython.noop)]
