from __future__ import annotations

import pytest

from gylebook.web.api import gate
from web.api.asking import script


@pytest.fixture(autouse=True)
def fresh_allowance():
    """Every test begins with full buckets."""
    gate._allowance.cache_clear()


@pytest.fixture
def owner(stocked_book):
    """A script that may read and write a book with an invented shelf and three brews."""
    return script()
