"""A figure that rules reason with: its name, unit and where it came from."""

from __future__ import annotations

from dataclasses import dataclass

from recap.model import Basis, Input
from recap.units import farads, hours, plain, si, volts

_CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Given:
    """A figure with its name, unit and basis, ready to be shown as an input of a reason."""

    name: str
    value: float
    unit: str
    basis: Basis

    @property
    def text(self) -> str:
        """The value with its unit, for people."""
        form = {"F": farads, "V": volts, "h": hours}.get(self.unit)
        if form:
            return form(self.value)
        return si(self.value, self.unit) if self.unit in ("A", "Ω", "Hz") else f"{plain(self.value)} {self.unit}"

    @property
    def input(self) -> Input:
        """The figure as an input of a reason."""
        return Input(self.name, self.text, self.basis)


def exceeds(value: float, limit: float) -> bool:
    """Return whether a value lies above a limit by more than arithmetic leaves.

    >>> exceeds(0.1 + 0.2, 0.3), exceeds(0.301, 0.3)
    (False, True)
    """
    return value > limit * (1 + _CLOSE)
