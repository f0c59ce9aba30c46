"""What the output filter of a switch-mode supply does to its capacitor.

The capacitor's current is made of straight lines, so its ripple is exact: the ESR's share follows the current,
the capacitance's share its integral, and the two are added at each moment, not as amplitudes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

HARMONICS = 6
Segment = tuple[ArrayLike, ArrayLike, ArrayLike]  # duration [s], current at its start and at its end [A]


@dataclass(frozen=True, slots=True)
class FilterRipple:
    """Ripple of an output capacitor; arrays of the cases' shape, `harmonics_a` with the order as its last axis."""

    ripple_vpp: Floats
    ripple_current_a: Floats
    peak_capacitor_current_a: Floats
    harmonics_a: Floats


def straight_line_ripple(segments: Sequence[Segment], capacitance_f: ArrayLike, esr_ohm: ArrayLike) -> FilterRipple:
    """Return the ripple of a current made of straight lines; its mean is taken off, as a capacitor passes no dc.

    Source: v = ESR·i + ∫i dt/C; exact for constant ESR and capacitance.

    Parameters:
        segments [s, A, A]: duration, current at the start, current at the end, in order over one period.
        capacitance_f [F]: of the output capacitor, > 0.
        esr_ohm [ohm]: its equivalent series resistance at the ripple's frequency, ≥ 0.

    Raises nothing; currents may jump between segments. Holds without the inductance of leads, which adds spikes.

    >>> triangle = straight_line_ripple([(5e-6, -0.5, 0.5), (5e-6, 0.5, -0.5)], 100e-6, 0.0)
    >>> round(float(triangle.ripple_vpp) * 1e3, 3), round(float(triangle.ripple_current_a), 4)
    (12.5, 0.2887)
    """
    flat = [np.asarray(each, float) for segment in segments for each in segment]
    stacked = np.stack(np.broadcast_arrays(*flat, *(np.asarray(each, float) for each in (capacitance_f, esr_ohm))))
    duration, first, last = stacked[0:-2:3], stacked[1:-2:3], stacked[2:-2:3]
    farads, esr = stacked[-2], stacked[-1]
    period = duration.sum(axis=0)
    mean = np.sum(duration * (first + last), axis=0) / (2 * period)
    first, last = first - mean, last - mean
    slope = np.divide(last - first, duration, out=np.zeros_like(first), where=duration > 0)
    charge = np.cumsum(duration * (first + last) / 2, axis=0) - duration * (first + last) / 2
    # Within a segment the voltage turns where the two shares cancel: slope·ESR + i/C = 0.
    turn = np.divide(-esr * farads * slope - first, slope, out=np.zeros_like(first), where=slope != 0)
    volts = []
    for after in (np.zeros_like(duration), np.clip(turn, 0, duration), duration):
        current = first + slope * after
        volts.append(esr * current + (charge + after * (first + current) / 2) / farads)
    span = np.concatenate(volts)
    square = np.sum(duration * (first**2 + first * last + last**2), axis=0) / (3 * period)
    return FilterRipple(
        ripple_vpp=np.asarray(span.max(axis=0) - span.min(axis=0)),
        ripple_current_a=np.asarray(np.sqrt(square)),
        peak_capacitor_current_a=np.maximum(np.abs(first), np.abs(last)).max(axis=0),
        harmonics_a=_harmonics(duration, first, last, slope, period),
    )


def _harmonics(duration: Floats, first: Floats, last: Floats, slope: Floats, period: Floats) -> Floats:
    """Return the rms of the first harmonics, each segment integrated in closed form."""
    end = np.cumsum(duration, axis=0)
    start = end - duration
    found = []
    for order in range(1, HARMONICS + 1):
        omega = 2 * np.pi * order / period
        at_start, at_end = np.exp(-1j * omega * start), np.exp(-1j * omega * end)
        parts = (first * at_start - last * at_end) / (1j * omega) - slope * (at_start - at_end) / omega**2
        found.append(np.sqrt(2.0) * np.abs(parts.sum(axis=0)) / period)
    return np.stack(found, axis=-1)


def inductor_output(
    inductor_ripple_a: ArrayLike,
    ripple_frequency_hz: ArrayLike,
    duty: ArrayLike,
    capacitance_f: ArrayLike,
    esr_ohm: ArrayLike,
) -> FilterRipple:
    """Return the ripple behind an inductor that never runs dry: buck, forward, half-bridge.

    Source: the triangle of the inductor's current; makers print the bound ΔI·(ESR + 1/(8fC)) (Microchip, eq. 8-5)
    and ΔI/√12 (from memory).

    Parameters:
        inductor_ripple_a [A]: peak to peak.
        ripple_frequency_hz [Hz]: of the inductor's current, twice the switching frequency in a half-bridge.
        duty [1]: share of that period in which the current rises, between 0 and 1.
        capacitance_f [F], esr_ohm [ohm]: the output capacitor.

    Holds while the inductor carries current throughout: ripple at most twice the load current.

    >>> ripple = inductor_output(2.0, 40e3, 0.5, 100e-6, 0.05)
    >>> round(float(ripple.ripple_vpp) * 1e3, 1)  # the sum of both shares would be 162.5
    102.5
    """
    half, period = np.asarray(inductor_ripple_a, float) / 2, 1 / np.asarray(ripple_frequency_hz, float)
    rising = np.asarray(duty, float) * period
    return straight_line_ripple([(rising, -half, half), (period - rising, half, -half)], capacitance_f, esr_ohm)


def flyback_peak_a(ripple_current_a: ArrayLike, load_current_a: ArrayLike) -> tuple[Floats, Floats]:
    """Return the least and the greatest peak of a flyback's secondary that go with a capacitor's rms current.

    Source: Power Integrations AN-16, p. 22 (secondary rms² = ripple² + load²), and the geometry of a trapezoid: mean
    square over mean is its peak where it is flat, two thirds of its peak where it falls to nothing.

    Parameters:
        ripple_current_a [A]: rms in the output capacitor.
        load_current_a [A]: mean load current, > 0.

    Holds in steady state for every conduction and valley; the greatest is that of discontinuous work.

    >>> least, greatest = flyback_peak_a(np.sqrt(3.75), 1.5)
    >>> round(float(least), 6), round(float(greatest), 6)
    (4.0, 6.0)
    """
    ripple, load = np.asarray(ripple_current_a, float), np.asarray(load_current_a, float)
    least = (ripple**2 + load**2) / load
    return np.asarray(least), np.asarray(1.5 * least)


def flyback_output(
    peak_current_a: ArrayLike,
    valley_current_a: ArrayLike,
    conduction: ArrayLike,
    switching_frequency_hz: ArrayLike,
    capacitance_f: ArrayLike,
    esr_ohm: ArrayLike,
) -> FilterRipple:
    """Return the ripple behind a flyback's secondary, whose current falls from peak to valley and is then cut off.

    Source: Power Integrations AN-16, p. 22: the capacitor carries √(secondary rms² − load²).

    Parameters:
        peak_current_a [A], valley_current_a [A]: of the secondary; the valley is 0 in discontinuous work.
        conduction [1]: share of the period in which the secondary conducts.
        switching_frequency_hz [Hz]: also that of the ripple.
        capacitance_f [F], esr_ohm [ohm]: the output capacitor.

    Holds in steady state, where the load takes the secondary's mean: (peak + valley)/2 · conduction.

    >>> ripple = flyback_output(6.0, 2.0, 0.5, 100e3, 1000e-6, 0.02)
    >>> round(float(ripple.ripple_current_a), 3), round(float(ripple.ripple_vpp) * 1e3, 1)
    (2.16, 120.0)
    """
    period = 1 / np.asarray(switching_frequency_hz, float)
    on = np.asarray(conduction, float) * period
    segments = [(on, peak_current_a, valley_current_a), (period - on, 0.0, 0.0)]
    return straight_line_ripple(segments, capacitance_f, esr_ohm)
