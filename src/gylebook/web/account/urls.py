"""Addresses below /account/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.account import views

app_name = "account"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
]
