"""Addresses below /about/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.about import views

urlpatterns = [path("", views.page, name="about")]
