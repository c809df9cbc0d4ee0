"""Addresses below /book/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.book import book_in, out, readings_in, views

urlpatterns = [
    path("", views.page, name="book"),
    path("journal.jsonl", out.journal, name="book_journal"),
    path("entries.csv", out.entries, name="book_entries"),
    path("readings.csv", out.readings, name="book_readings"),
    path("backup/", out.backup_file, name="book_backup"),
    path("check/", views.check, name="book_check"),
    path("import/", book_in.page, name="book_import"),
    path("readings/", readings_in.page, name="book_readings_in"),
]
