"""Secret addresses of calendars, as hashes."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("store", "0003_lessons")]

    operations = [
        migrations.CreateModel(
            "CalendarFeed",
            fields=[
                ("name", models.CharField(max_length=150, primary_key=True, serialize=False)),
                ("secret_hash", models.CharField(max_length=64, unique=True)),
                ("made_at", models.DateTimeField()),
            ],
            options={"db_table": "calendar_feed"},
        ),
    ]
