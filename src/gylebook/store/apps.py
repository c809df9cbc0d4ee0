"""The one Django app with tables."""

from __future__ import annotations

from django.apps import AppConfig

from gylebook.phrases import say


class StoreConfig(AppConfig):
    """The journal and what is derived from it."""

    name = "gylebook.store"
    label = "store"
    verbose_name = say("The book")
