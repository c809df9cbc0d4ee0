from __future__ import annotations

import pytest

from web.pocket.garage import Book, Phone, chromium


@pytest.fixture(scope="module")
def browser():
    with chromium() as made:
        yield made


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """A book with one running brew, No. 1."""
    served = Book(tmp_path_factory.mktemp("pocket") / "home")
    try:
        assert served.brew("Garage bitter") == "1"
        yield served
    finally:
        served.kill()


@pytest.fixture
def phones(browser):
    """Make phones; they are put away at the end, and none of them may have complained."""
    made = []

    def phone(address, **options):
        made.append(Phone(browser, address, **options))
        return made[-1]

    yield phone
    complaints = [complaint for each in made for complaint in each.complaints]
    for each in made:
        each.close()
    assert complaints == []
