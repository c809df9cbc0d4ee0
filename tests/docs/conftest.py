from __future__ import annotations

import sys
from pathlib import Path

import pytest

SCRIPTS = Path(__file__).parents[2] / "scripts"
sys.path.insert(0, str(SCRIPTS))


@pytest.fixture(scope="session")
def desk(tmp_path_factory):
    """Carries out the commands that a page shows, each page in a book of its own."""
    from doc_commands import Desk

    return Desk(tmp_path_factory.mktemp("docs"))
