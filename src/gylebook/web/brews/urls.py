"""Addresses below /brews/."""

from __future__ import annotations

from importlib import import_module

from django.urls import path

from gylebook.steps.catalogue import WORDS
from gylebook.web.brews import bench, beside, entry, filling, listing, log, new, page, papers, something

urlpatterns = [
    path("", listing.page, name="brews"),
    path("new/", new.page, name="brew_new"),
    path("<int:brew>/", page.page, name="brew"),
    path("<int:brew>/log/", log.page, name="brew_log"),
    path("<int:brew>/log/<int:seq>/", entry.page, name="brew_entry"),
    path("<int:brew>/something/", something.page, name="brew_something"),
    path("<int:brew>/bottling/filling/", filling.page, name="brew_filling"),
    path("<int:brew>/papers/", papers.page, name="brew_papers"),
    path("<int:brew>/papers/<slug:word>/", papers.pdf, name="brew_paper"),
    path("<int:brew>/beside/", beside.choose, name="brew_beside"),
    path("<int:brew>/beside/<int:other>/", beside.page, name="brew_beside_other"),
    *(
        path(f"<int:brew>/{word}/", import_module(f"gylebook.web.brews.{word}").page, name=f"brew_{word}")
        for word in WORDS
    ),
    path("<int:brew>/<slug:word>/bench/", bench.page, name="brew_bench"),
]
