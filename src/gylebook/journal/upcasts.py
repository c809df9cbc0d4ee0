"""How a body of an older version becomes one of the next: (kind, old version) -> function of the plain body.

Empty while every kind is at its first version. A frozen body of each kind and version stays in the tests.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

UPCASTS: dict[tuple[str, int], Callable[[dict[str, Any]], dict[str, Any]]] = {}
