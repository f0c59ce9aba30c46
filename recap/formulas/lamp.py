"""A filament lamp in series with the load, as a current limiter: where lamp and load meet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_HALVINGS = 100  # a bisection's steps; a float has no more bits to settle


@dataclass(frozen=True, slots=True)
class FilamentLamp:
    """A gas-filled filament lamp: rating, exponent of its current, hot over cold resistance."""

    rated_power_w: float
    rated_voltage_v: float
    current_exponent: float
    hot_over_cold: float

    @property
    def rated_current_a(self) -> float:
        """Current at the rated voltage."""
        return self.rated_power_w / self.rated_voltage_v

    @property
    def cold_resistance_ohm(self) -> float:
        """Resistance of the cold filament."""
        return self.rated_voltage_v / self.rated_current_a / self.hot_over_cold


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """Where lamp and load agree; `stable` says whether a small push dies away."""

    load_voltage_v: float
    load_power_w: float
    current_a: float
    stable: bool = True


def lamp_current_a(lamp: FilamentLamp, lamp_voltage_v: ArrayLike) -> Floats:
    """Return the lamp's current, I0·(V/V0)^k, never above what the cold filament would draw.

    Source: Lamp rerating (Welch Allyn; Fink and Beaty, 11th ed., 22-8), quoted by Wikipedia.

    Parameters:
        lamp [–]: the lamp.
        lamp_voltage_v [V]: rms voltage across the lamp, ≥ 0.

    Holds in the steady state, once the filament's temperature has settled.

    >>> bulb = FilamentLamp(100.0, 230.0, 0.55, 15.0)
    >>> round(float(lamp_current_a(bulb, 230.0)), 3), round(float(lamp_current_a(bulb, 23.0)), 3)
    (0.435, 0.123)
    """
    voltage = np.asarray(lamp_voltage_v, float)
    hot = lamp.rated_current_a * (voltage / lamp.rated_voltage_v) ** lamp.current_exponent
    return np.minimum(hot, voltage / lamp.cold_resistance_ohm)


def with_resistive_load(lamp: FilamentLamp, mains_v: float, load_power_w: float) -> OperatingPoint:
    """Return the one operating point with a resistive load.

    Source: Kirchhoff's laws with `lamp_current_a`.

    Parameters:
        lamp [–]: the lamp.
        mains_v [V]: mains voltage, rms, > 0.
        load_power_w [W]: what the load takes at full mains, > 0.

    Holds for rms values; a rectifier's peaky current makes it an estimate.

    >>> point = with_resistive_load(FilamentLamp(40.0, 230.0, 0.55, 15.0), 230.0, 30.0)
    >>> round(point.load_voltage_v / 230.0, 3)
    0.695
    """
    load_ohm = mains_v**2 / load_power_w
    low, high = 0.0, mains_v
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if float(lamp_current_a(lamp, mains_v - middle)) > middle / load_ohm:
            low = middle
        else:
            high = middle
    return OperatingPoint(low, low**2 / load_ohm, low / load_ohm)


def with_constant_power_load(lamp: FilamentLamp, mains_v: float, load_power_w: float) -> tuple[OperatingPoint, ...]:
    """Return every operating point with a load that takes the same power at any voltage: none, one or two.

    Load voltage and lamp current both have concave logarithms, so their product has one maximum. Above it
    lies the stable point, below it the unstable one from which the load collapses. A load that needs more
    than the maximum has no operating point at all.

    Source: Kirchhoff's laws with `lamp_current_a`. A point is stable where the power on offer falls as the
    load's voltage rises.

    Parameters:
        lamp [–]: the lamp.
        mains_v [V]: mains voltage, rms, > 0.
        load_power_w [W]: what the load takes, > 0.

    Holds for rms values; a real switching supply stops below its start voltage.

    >>> bulb = FilamentLamp(100.0, 230.0, 0.55, 15.0)
    >>> [round(point.load_voltage_v) for point in with_constant_power_load(bulb, 230.0, 30.0)]
    [195, 91]
    >>> with_constant_power_load(bulb, 230.0, 60.0)
    ()
    """

    def offered_w(load_voltage_v: float) -> float:
        return load_voltage_v * float(lamp_current_a(lamp, mains_v - load_voltage_v))

    peak_v = _highest(offered_w, 0.0, mains_v)
    if offered_w(peak_v) < load_power_w:
        return ()

    def point(inside_v: float, outside_v: float, stable: bool) -> OperatingPoint:
        for _ in range(_HALVINGS):
            middle = (inside_v + outside_v) / 2
            if offered_w(middle) >= load_power_w:
                inside_v = middle
            else:
                outside_v = middle
        return OperatingPoint(inside_v, load_power_w, load_power_w / inside_v, stable)

    return point(peak_v, mains_v, True), point(peak_v, 0.0, False)


def _highest(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function with one maximum has it, by thirds."""
    for _ in range(2 * _HALVINGS):
        third = (high - low) / 3
        if function(low + third) < function(high - third):
            low += third
        else:
            high -= third
    return (low + high) / 2
