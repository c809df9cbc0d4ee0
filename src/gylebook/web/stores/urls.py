"""Addresses below /stores/."""

from __future__ import annotations

from django.urls import path

from gylebook.web.stores import kits, log, sorts, views

urlpatterns = [
    path("", views.page, name="stores"),
    path("kits/", kits.every_kit, name="kits"),
    path("kits/new/", kits.new, name="kit_new"),
    path("kits/<str:name>/", kits.page, name="kit"),
    path("bottles/", sorts.bottles, name="bottles"),
    path("stock/", sorts.stock, name="stock"),
    path("log/", log.page, name="shelf_log"),
    path("log/<int:seq>/", log.entry, name="shelf_entry"),
]
