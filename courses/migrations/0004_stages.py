from __future__ import annotations

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("courses", "0003_kinds_of_an_assignment")]

    operations = [
        migrations.AddField(
            model_name="assignmentversion",
            name="stages",
            field=models.JSONField(blank=True, default=list),
        ),
        migrations.AddField(
            model_name="prompt",
            name="again_text",
            field=models.TextField(blank=True),
        ),
        migrations.AddField(
            model_name="prompt",
            name="asking",
            field=models.CharField(
                choices=[
                    ("once", "statements"),
                    ("again", "answer, look again, answer again"),
                    ("recall", "from memory, the page closed; then again with the page"),
                ],
                default="once",
                max_length=6,
            ),
        ),
        migrations.AddField(
            model_name="prompt",
            name="stage",
            field=models.CharField(blank=True, max_length=20),
        ),
        migrations.CreateModel(
            name="Step",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("stage", models.CharField(blank=True, max_length=20)),
                ("prompt_key", models.UUIDField(blank=True, null=True)),
                ("at", models.DateTimeField(auto_now_add=True)),
                (
                    "assignment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="steps",
                        to="courses.assignment",
                    ),
                ),
                (
                    "student",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="steps",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("prompt_key", None)),
                        fields=("assignment", "student", "stage"),
                        name="stage_handed_in_once",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("prompt_key__isnull", False)),
                        fields=("assignment", "student", "prompt_key"),
                        name="first_answer_once",
                    ),
                ],
            },
        ),
    ]
