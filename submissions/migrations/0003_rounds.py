from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("submissions", "0002_check_kept_back")]

    operations = [
        migrations.AddField(
            model_name="observation",
            name="round",
            field=models.PositiveSmallIntegerField(default=1),
        ),
    ]
