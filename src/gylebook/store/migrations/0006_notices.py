"""Addresses for notices, what each was told, and what calendars were given."""

from __future__ import annotations

from django.db import migrations, models
from django.db.models.deletion import CASCADE


class Migration(migrations.Migration):
    dependencies = [("store", "0005_devices")]

    operations = [
        migrations.CreateModel(
            "CalendarThing",
            fields=[
                ("uid", models.CharField(max_length=36, primary_key=True, serialize=False)),
                ("brew", models.CharField(max_length=20)),
                ("title", models.CharField(max_length=700)),
                ("start", models.DateTimeField()),
                ("end", models.DateTimeField()),
                ("sequence", models.PositiveIntegerField()),
                ("changed_at", models.DateTimeField()),
                ("gone", models.BooleanField()),
            ],
            options={"db_table": "calendar_thing"},
        ),
        migrations.CreateModel(
            "NoticeAddress",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("url", models.CharField(max_length=1000, unique=True)),
                ("person", models.CharField(max_length=150)),
                ("salt", models.CharField(max_length=64)),
                ("base", models.CharField(max_length=300)),
                ("made_at", models.DateTimeField()),
                ("sent_at", models.DateTimeField(null=True)),
                ("fault", models.CharField(max_length=300)),
                ("fault_at", models.DateTimeField(null=True)),
            ],
            options={"db_table": "notice_address"},
        ),
        migrations.CreateModel(
            "Notice",
            fields=[
                ("id", models.CharField(max_length=36, primary_key=True, serialize=False)),
                ("address", models.ForeignKey("store.NoticeAddress", on_delete=CASCADE)),
                ("decision", models.CharField(max_length=36)),
                ("urgency", models.CharField(max_length=10)),
                ("brew", models.CharField(max_length=20)),
                ("title", models.CharField(max_length=700)),
                ("made_at", models.DateTimeField()),
                ("tries", models.PositiveSmallIntegerField()),
                ("next_try_at", models.DateTimeField(null=True)),
                ("sent_at", models.DateTimeField(null=True)),
            ],
            options={
                "db_table": "notice",
                "constraints": [
                    models.UniqueConstraint(fields=["address", "decision", "urgency"], name="notice_once"),
                ],
                "indexes": [models.Index(fields=["next_try_at"], name="notice_next_try")],
            },
        ),
    ]
