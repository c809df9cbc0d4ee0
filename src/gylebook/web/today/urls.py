"""The addresses of Today: the root of the book, and putting its first steps away."""

from __future__ import annotations

from django.urls import path

from gylebook.web.today import first_brew, views

urlpatterns = [
    path("", views.page, name="today"),
    path("first-steps/away/", first_brew.put_away, name="first_steps_away"),
]
