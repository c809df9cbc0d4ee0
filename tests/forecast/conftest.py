from __future__ import annotations

from hypothesis import settings

# The same examples on every machine, and no clock: a busy machine is not a wrong sum.
settings.register_profile("forecast", derandomize=True, deadline=None, max_examples=25)
settings.load_profile("forecast")
