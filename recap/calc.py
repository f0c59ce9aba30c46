"""The bench sums of `recap calc`, by the names of its calculators; each is imported when it is first used."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from recap.calculators.discharge import discharge
    from recap.calculators.esr import esr
    from recap.calculators.lamp import lamp
    from recap.calculators.life import life
    from recap.calculators.load import load
    from recap.calculators.marking import marking
    from recap.calculators.reform import reform
    from recap.calculators.ripple import ripple
    from recap.calculators.substitute_value import substitute_value

__all__ = ["discharge", "esr", "lamp", "life", "load", "marking", "reform", "ripple", "substitute_value"]


def __getattr__(name: str) -> Any:
    """Import a calculator's function when it is asked for."""
    if name in __all__:
        return getattr(import_module(f"recap.calculators.{name}"), name)
    raise AttributeError(f"recap.calc has no calculator {name!r}")


def __dir__() -> list[str]:
    """Return the calculators' names, imported or not."""
    return __all__
