"""Browsers that are signed in, codes that let one in once, and passkeys."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("store", "0004_calendar_feed")]

    operations = [
        migrations.CreateModel(
            "Device",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("person", models.CharField(max_length=150)),
                ("name", models.CharField(max_length=80)),
                ("way", models.CharField(max_length=20)),
                ("made_at", models.DateTimeField()),
                ("seen_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
            ],
            options={
                "db_table": "device",
                "indexes": [models.Index(fields=["person", "ends_at"], name="device_person_ends")],
            },
        ),
        migrations.CreateModel(
            "OneTimeCode",
            fields=[
                ("code_hash", models.CharField(max_length=64, primary_key=True, serialize=False)),
                ("kind", models.CharField(max_length=20)),
                ("person", models.CharField(max_length=150)),
                ("made_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
            ],
            options={"db_table": "one_time_code"},
        ),
        migrations.CreateModel(
            "Passkey",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("credential", models.CharField(max_length=400, unique=True)),
                ("person", models.CharField(max_length=150)),
                ("name", models.CharField(max_length=80)),
                ("host", models.CharField(max_length=253)),
                ("public_key", models.TextField()),
                ("uses", models.BigIntegerField()),
                ("made_at", models.DateTimeField()),
                ("used_at", models.DateTimeField(null=True)),
            ],
            options={
                "db_table": "passkey",
                "indexes": [models.Index(fields=["person"], name="passkey_person")],
            },
        ),
    ]
