from django.db import migrations, models

SIDES = [("stage left", "Stage left"), ("centre", "Centre"), ("stage right", "Stage right")]


class Migration(migrations.Migration):
    dependencies = [
        ("venue", "0012_listed_days"),
    ]

    operations = [
        migrations.AddField(
            model_name="place",
            name="side",
            field=models.CharField(blank=True, choices=SIDES, default="", max_length=12),
        ),
    ]
