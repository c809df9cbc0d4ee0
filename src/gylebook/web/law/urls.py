"""Addresses below /law/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.law import views

urlpatterns = [path("", views.page, name="law")]
