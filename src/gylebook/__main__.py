"""`python -m gylebook` is `gylebook`."""

from __future__ import annotations

from gylebook.cli.main import run

if __name__ == "__main__":
    run()
