from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import migrations, models

BUDGET = {
    "max_digits": 12, "decimal_places": 2, "null": True, "blank": True,
    "validators": [MinValueValidator(Decimal(0))],
}  # fmt: skip


class Migration(migrations.Migration):
    dependencies = [("inspections", "0032_known_late")]

    operations = [
        migrations.AddField("planningsettings", "year_budget", models.DecimalField(**BUDGET)),
        migrations.AddField("examinertrade", "year_budget", models.DecimalField(**BUDGET)),
    ]
