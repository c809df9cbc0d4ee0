"""Tokens of programs, the prints of what was sent to the API, and the mark by which a book is told from another."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("store", "0006_notices")]

    operations = [
        migrations.CreateModel(
            "ApiToken",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=80)),
                ("person", models.CharField(max_length=150)),
                ("scopes", models.CharField(max_length=40)),
                ("secret_hash", models.CharField(max_length=64, unique=True)),
                ("made_at", models.DateTimeField()),
                ("used_at", models.DateTimeField(null=True)),
            ],
            options={
                "db_table": "api_token",
                "constraints": [models.UniqueConstraint(fields=["person", "name"], name="api_token_person_name")],
            },
        ),
        migrations.CreateModel(
            "SentPrint",
            fields=[
                ("command_id", models.CharField(max_length=120, primary_key=True, serialize=False)),
                ("content", models.CharField(max_length=64)),
            ],
            options={"db_table": "sent_print"},
        ),
        migrations.CreateModel(
            "BookMark",
            fields=[
                ("id", models.PositiveSmallIntegerField(primary_key=True, serialize=False)),
                ("mark", models.CharField(max_length=32)),
            ],
            options={"db_table": "book_mark"},
        ),
    ]
