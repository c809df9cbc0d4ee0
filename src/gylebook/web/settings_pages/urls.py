"""Addresses below /settings/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.settings_pages import lessons, notices, sorts, views

urlpatterns = [
    path("", views.page, name="settings"),
    path("instruments/", sorts.instruments, name="instruments"),
    path("vessels/", sorts.vessels, name="vessels"),
    path("places/", sorts.places, name="places"),
    path("learned/", lessons.page, name="lessons"),
    path("notices/", notices.page, name="notices"),
]
