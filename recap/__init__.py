"""recap: from an inspection sheet of old capacitors to an order, work orders and proven rails.

The public functions have the names of the commands; each is imported when it is first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

_PUBLIC = {
    "blank": "recap.outputs.blank_form:blank",
    "explain": "recap.jobs:explain",
    "order": "recap.jobs:order",
    "read": "recap.intake:read_inspection",
}

__all__ = ["blank", "explain", "order", "read"]


def __getattr__(name: str) -> Any:
    """Import a public function when it is asked for."""
    if name in _PUBLIC:
        module, _, function = _PUBLIC[name].partition(":")
        return getattr(import_module(module), function)
    raise AttributeError(f"recap has no public name {name!r}")
