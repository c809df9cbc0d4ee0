"""Addresses below /pocket/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.pocket import views

urlpatterns = [
    path("", views.pocket, name="pocket"),
    path("worker.js", views.worker, name="pocket_worker"),
    path("<slug:part>.js", views.script, name="pocket_script"),
    path("words-<str:language>.json", views.words, name="pocket_words"),
    path("manifest.webmanifest", views.manifest, name="pocket_manifest"),
]
