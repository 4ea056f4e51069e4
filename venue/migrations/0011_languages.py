from django.db import migrations, models

LANGUAGES = [("en", "English"), ("de", "Deutsch"), ("es", "Español")]


class Migration(migrations.Migration):
    dependencies = [
        ("venue", "0010_first_hour"),
    ]

    operations = [
        migrations.AddField(
            model_name="person",
            name="language",
            field=models.CharField(blank=True, choices=LANGUAGES, default="", max_length=8),
        ),
        migrations.AddField(
            model_name="venue",
            name="language",
            field=models.CharField(blank=True, choices=LANGUAGES, default="", max_length=8),
        ),
    ]
