"""Addresses below /sources/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.sources import views

urlpatterns = [
    path("", views.every_source, name="sources"),
    path("<slug:key>/", views.one_source, name="source"),
]
