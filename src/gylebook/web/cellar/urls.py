"""Addresses below /cellar/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.cellar import views

urlpatterns = [path("", views.page, name="cellar")]
