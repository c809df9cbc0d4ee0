"""Lessons of finished brews, kept beside their cards, and with which of them each card was made."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("store", "0002_append_only")]

    operations = [
        migrations.AddField("brewcard", "learned", models.CharField(max_length=16, default="")),
        migrations.AddField("brewcard", "lesson", models.TextField(default="")),
        migrations.AddField("brewcard", "lesson_of", models.CharField(max_length=120, default="")),
        migrations.AddIndex(
            "brewcard",
            models.Index(fields=["number"], condition=models.Q(stage="closed"), name="brew_card_finished"),
        ),
    ]
