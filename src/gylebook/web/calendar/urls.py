"""Addresses below /calendar/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.calendar import views

urlpatterns = [
    path("", views.download, name="calendar"),
    path("make/", views.make, name="calendar_make"),
    path("stop/", views.stop, name="calendar_stop"),
    path("<str:secret>.ics", views.feed, name="calendar_feed"),
]
