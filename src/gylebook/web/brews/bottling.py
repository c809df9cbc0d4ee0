"""The page of bottling."""

from __future__ import annotations

from gylebook.web.brews.at_step import page_of

page = page_of("bottling")
