"""The one Django app with tables."""

from __future__ import annotations

from django.apps import AppConfig


class StoreConfig(AppConfig):
    """The journal and what is derived from it."""

    name = "gylebook.store"
    label = "store"
    verbose_name = "The book"
