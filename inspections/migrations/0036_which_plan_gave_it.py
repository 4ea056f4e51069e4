from django.db import migrations, models
from django.db.models import deletion


def of_a_year_plan():
    return models.ForeignKey(
        blank=True,
        null=True,
        on_delete=deletion.PROTECT,
        related_name="+",
        to="inspections.yearplan",
    )


class Migration(migrations.Migration):
    dependencies = [("inspections", "0035_hours_worked")]

    operations = [
        migrations.AddField("task", name, of_a_year_plan())
        for name in ("day_from", "person_from", "why_from")
    ]
