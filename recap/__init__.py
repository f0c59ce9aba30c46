"""recap: from an inspection sheet of old capacitors to an order, work orders and proven rails.

The public functions have the names of the commands; each is imported when it is first used. The bench sums stand in
`recap.calc`: `recap.calc.marking(["4u7 63V"])`.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from recap import calc
    from recap.intake import read_inspection as read
    from recap.jobs import advise, check, explain, order, parts, rules, sign_off
    from recap.outputs.blank_form import blank

_PUBLIC = {
    "advise": "recap.jobs:advise",
    "blank": "recap.outputs.blank_form:blank",
    "check": "recap.jobs:check",
    "explain": "recap.jobs:explain",
    "order": "recap.jobs:order",
    "parts": "recap.jobs:parts",
    "read": "recap.intake:read_inspection",
    "rules": "recap.jobs:rules",
    "sign_off": "recap.jobs:sign_off",
}

__all__ = ["advise", "blank", "calc", "check", "explain", "order", "parts", "read", "rules", "sign_off"]


def __getattr__(name: str) -> Any:
    """Import a public function when it is asked for."""
    if name == "calc":
        return import_module("recap.calc")
    if name in _PUBLIC:
        module, _, function = _PUBLIC[name].partition(":")
        return getattr(import_module(module), function)
    raise AttributeError(f"recap has no public name {name!r}")


def __dir__() -> list[str]:
    """Return the public names, imported or not."""
    return __all__


class _Library(ModuleType):
    """The package as its users see it: `recap.rules` is the function, although a package of that name exists."""

    def __setattr__(self, name: str, value: object) -> None:
        """Keep the import system from binding a package over the public function of its name."""
        if not (name in _PUBLIC and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Library
