"""Addresses below /api/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.api import entries, openapi, pages, pocket, views

urlpatterns = [
    path("", pages.page, name="api"),
    path("openapi.json", openapi.document, name="api_openapi"),
    path("hello", views.hello, name="api_hello"),
    path("pocket", pocket.pocket, name="api_pocket"),
    path("brews", views.brews, name="api_brews"),
    path("brews/<int:number>", views.brew, name="api_brew"),
    path("brews/<int:number>/entries", views.entries, name="api_brew_entries"),
    path("today", views.today, name="api_today"),
    path("cellar", views.cellar, name="api_cellar"),
    path("steps/<slug:word>", views.step_answer, name="api_step"),
    path("sums/<slug:word>", views.sum_answer, name="api_sum"),
    path("entries", entries.write, name="api_entries"),
]
