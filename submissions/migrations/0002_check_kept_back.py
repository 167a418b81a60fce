from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("submissions", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="check",
            name="kept_back",
            field=models.BooleanField(default=False),
        ),
    ]
