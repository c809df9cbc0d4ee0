"""Addresses below /reckon/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.reckon import views

urlpatterns = [
    path("", views.every_sum, name="reckon"),
    path("<slug:word>/", views.one_sum, name="reckon_sum"),
]
