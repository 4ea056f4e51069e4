"""What a plan may be late by when it is published is kept apart from what it is late by now. Of a draft
that nobody moved anything in both are the same; of one that was changed by hand it is not known any more
what it said when it was made, so nothing is allowed: plan it again.
"""

from django.db import migrations, models


def keep_what_was_known(apps, schema_editor):
    rows = apps.get_model("inspections", "YearPlan").objects.filter(state__in=["draft", "proposed"])
    for plan in rows.exclude(made_at=None):
        changed = "moved_by_hand" in plan.outcome
        plan.outcome["known_late"] = {} if changed else plan.outcome.get("late", {})
        plan.save(update_fields=["outcome"])


class Migration(migrations.Migration):
    dependencies = [("inspections", "0031_half_and_helpers_of_a_task")]

    operations = [
        migrations.AddField(
            model_name="plannedmove",
            name="late_meant",
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.RunPython(keep_what_was_known, migrations.RunPython.noop),
    ]
