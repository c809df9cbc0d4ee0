"""The same examples on every machine, and no clock: a busy machine is no fault of a step."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("unhurried", derandomize=True, deadline=None)
settings.load_profile("unhurried")
