from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("venue", "0004_spoken_and_drawn"),
    ]

    operations = [
        migrations.AddField(
            model_name="venue",
            name="calendar_known_until",
            field=models.DateField(blank=True, null=True),
        ),
    ]
