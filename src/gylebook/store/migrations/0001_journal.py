"""The journal, the cards made from it, and the count of tried passwords."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="BrewCard",
            fields=[
                ("brew", models.CharField(max_length=20, primary_key=True, serialize=False)),
                ("number", models.PositiveIntegerField()),
                ("head_seq", models.PositiveIntegerField()),
                ("shelf_seq", models.PositiveIntegerField()),
                ("cards_version", models.CharField(max_length=80)),
                ("state_hash", models.CharField(max_length=64)),
                ("fold", models.CharField(max_length=16)),
                ("open", models.BooleanField()),
                ("stage", models.CharField(max_length=20)),
                ("name", models.CharField(max_length=300)),
                ("next_due", models.CharField(max_length=27, null=True)),
                ("card", models.TextField()),
            ],
            options={
                "db_table": "brew_card",
                "indexes": [
                    models.Index(fields=["number"], name="brew_card_number"),
                    models.Index(fields=["open", "next_due"], name="brew_card_due"),
                ],
            },
        ),
        migrations.CreateModel(
            name="JournalEntry",
            fields=[
                (
                    "pk",
                    models.CompositePrimaryKey(
                        "brew", "seq", blank=True, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("brew", models.CharField(max_length=20)),
                ("seq", models.PositiveIntegerField()),
                ("kind", models.CharField(max_length=40)),
                ("version", models.PositiveSmallIntegerField()),
                ("happened_at", models.CharField(max_length=27)),
                ("recorded_at", models.CharField(max_length=27)),
                ("recorded_by", models.CharField(max_length=150)),
                ("source", models.CharField(max_length=20)),
                ("command_id", models.CharField(max_length=120)),
                ("body", models.TextField()),
            ],
            options={
                "db_table": "journal_entry",
                "indexes": [models.Index(condition=models.Q(("seq", 1)), fields=["brew"], name="journal_entry_first")],
                "constraints": [
                    models.UniqueConstraint(fields=("command_id",), name="journal_entry_command_id"),
                    models.CheckConstraint(condition=models.Q(("seq__gte", 1)), name="journal_entry_seq_from_1"),
                ],
            },
        ),
        migrations.CreateModel(
            name="SignInTry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=150)),
                ("at", models.DateTimeField()),
            ],
            options={
                "db_table": "sign_in_try",
                "indexes": [models.Index(fields=["name", "at"], name="sign_in_try_name_at")],
            },
        ),
    ]
