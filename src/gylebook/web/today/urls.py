"""The address of Today: the root of the book."""

from __future__ import annotations

from django.urls import path

from gylebook.web.today import views

urlpatterns = [path("", views.page, name="today")]
