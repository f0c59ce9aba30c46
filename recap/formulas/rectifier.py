"""What a rectifier and its reservoir do to the capacitor: the steady state, and the rules of thumb beside it."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from recap.formulas.rectifier_diode import Floats
from recap.formulas.rectifier_steady_state import Circuit, Mask, Swing, steady_state

HARMONICS = 6
CONDUCTING = 0.01  # of the diode's peak current: below, it is not counted as conducting


@dataclass(frozen=True, slots=True)
class Topology:
    """A rectifier circuit: diodes in the charging path, one pulse a half cycle or a cycle, one reservoir or two."""

    diodes_in_series: int
    full_wave: bool
    stack: int = 1


TOPOLOGIES = {
    "bridge": Topology(diodes_in_series=2, full_wave=True),
    "centre-tap": Topology(diodes_in_series=1, full_wave=True),
    "half-wave": Topology(diodes_in_series=1, full_wave=False),
    "doubler": Topology(diodes_in_series=1, full_wave=True, stack=2),
}


@dataclass(frozen=True, slots=True)
class RectifierState:
    """Steady state of a rectifier; arrays of the cases' shape, `harmonics_a` with the order as its last axis.

    In a doubler the capacitor figures are those of each of its two capacitors, the voltages those of the output.
    The ripple frequency is that of the capacitor's current: twice the mains behind a bridge or centre tap, the
    mains' own in a half-wave circuit and in each capacitor of a doubler (whose output ripples at twice the mains).
    Where a case has no steady state (`holds` is false) every figure is NaN.
    """

    holds: Mask
    dc_v: Floats
    highest_v: Floats
    ripple_vpp: Floats
    load_current_a: Floats
    ripple_current_a: Floats
    peak_capacitor_current_a: Floats
    peak_diode_current_a: Floats
    ripple_frequency_hz: Floats
    conduction_angle_deg: Floats
    harmonics_a: Floats


def rectified(
    topology: str,
    source_rms_v: ArrayLike,
    mains_frequency_hz: ArrayLike,
    capacitance_f: ArrayLike,
    *,
    load_current_a: ArrayLike = 0.0,
    load_resistance_ohm: ArrayLike = np.inf,
    load_power_w: ArrayLike = 0.0,
    source_resistance_ohm: ArrayLike = 0.0,
    esr_ohm: ArrayLike = 0.0,
    diode_drop_v: ArrayLike = 0.0,
    diode_slope_ohm: ArrayLike = 0.0,
    largest_emission_v: ArrayLike,
) -> RectifierState:
    """Return the steady state of a sine source, rectifier, reservoir and load, for one case or arrays of them.

    Source: Kirchhoff's laws over one period that closes on itself; the method is our judgement, held against
    circuit simulations and an independent integration in the tests.

    Parameters:
        topology: bridge, centre-tap, half-wave or doubler (two capacitors, each charged on its own half cycle).
        source_rms_v [V]: unloaded rms voltage of the source; of one half for a centre tap.
        mains_frequency_hz [Hz]: its frequency.
        capacitance_f [F]: the reservoir; in a doubler each of the two.
        load_current_a [A], load_resistance_ohm [ohm], load_power_w [W]: the load, added up where several are given.
        source_resistance_ohm [ohm]: all resistance before the rectifier; of one half for a centre tap.
        esr_ohm [ohm]: of the reservoir; in a doubler of each.
        diode_drop_v [V], diode_slope_ohm [ohm]: of each diode, both at the mean load current.
        largest_emission_v [V]: n·kT/q of the softest junction, see `diode_curve`; n = 1.6 came closest to
            simulated diodes from Schottky to soft silicon.

    Raises KeyError for an unknown topology. Holds for a sine without leakage inductance, which would make the
    peaks lower; where the load empties the reservoir or asks for more than there is, no steady state holds.

    >>> state = rectified("bridge", 9.0, 50.0, 4.7e-3, load_current_a=1.0, source_resistance_ohm=0.3,
    ...                   esr_ohm=0.04, diode_drop_v=0.85, diode_slope_ohm=0.06,
    ...                   largest_emission_v=0.041)
    >>> [round(float(x), 2) for x in (state.dc_v, state.ripple_vpp, state.ripple_current_a)]
    [9.22, 1.44, 1.55]
    """
    shape = TOPOLOGIES[topology]
    given = (
        source_rms_v, mains_frequency_hz, capacitance_f, load_current_a, load_resistance_ohm, load_power_w,
        source_resistance_ohm, esr_ohm, diode_drop_v, diode_slope_ohm, largest_emission_v,
    )  # fmt: skip
    arrays = np.broadcast_arrays(*(np.asarray(each, float) for each in given))
    flat = [each.ravel() for each in arrays]
    volts, hertz, farads, amps, load_ohm, watts, source_ohm, esr, drop, slope, softest = flat
    circuit = Circuit(
        stack=shape.stack,
        span_rad=np.pi if shape.full_wave else 2 * np.pi,
        diodes_in_series=shape.diodes_in_series,
        peak_v=np.sqrt(2.0) * volts,
        angular_frequency=2 * np.pi * hertz,
        source_resistance_ohm=source_ohm,
        drop_v=drop,
        slope_ohm=slope,
        largest_emission_v=softest,
        capacitance_f=farads,
        esr_ohm=esr,
        load_current_a=amps,
        load_conductance_s=1 / load_ohm,
        load_power_w=watts,
    )
    found, holds = steady_state(circuit)
    holds &= (circuit.load_conductance_s > 0) | (found.output_v.min(axis=0) > 0)
    state = _figures(circuit, found, holds)
    shaped = {}
    for field in fields(state):
        values = getattr(state, field.name)
        shaped[field.name] = values.reshape(arrays[0].shape + values.shape[1:])
    return RectifierState(**shaped)


@np.errstate(all="ignore")  # cases without a solution are blanked at the end
def _figures(circuit: Circuit, found: Swing, holds: Mask) -> RectifierState:
    """Return what the nodes of a solution amount to, NaN where it does not hold."""
    time, capacitor_a = found.time_s, found.diode_a - found.load_a
    if circuit.stack > 1:  # then comes the other capacitor's turn, in which this one only feeds the load
        capacitor_a = np.concatenate([capacitor_a, -found.load_a[1:]])
        time = np.concatenate([time, time[-1] + time[1:]])
    capacitor_a = capacitor_a - _mean(capacitor_a, time)
    conducts = found.diode_a[1:] > CONDUCTING * found.diode_a.max(axis=0)
    figures = {
        "dc_v": _mean(found.output_v, found.time_s),
        "highest_v": found.output_v.max(axis=0),
        "ripple_vpp": np.ptp(found.output_v, axis=0),
        "load_current_a": _mean(found.load_a, found.time_s),
        "ripple_current_a": np.sqrt(_mean_square(capacitor_a, time)),
        "peak_capacitor_current_a": np.abs(capacitor_a).max(axis=0),
        "peak_diode_current_a": found.diode_a.max(axis=0),
        "ripple_frequency_hz": 1 / time[-1],
        "conduction_angle_deg": np.degrees(np.sum(np.diff(found.angle_rad, axis=0) * conducts, axis=0)),
        "harmonics_a": _harmonics(capacitor_a, time),
    }
    for name, each in figures.items():
        figures[name] = np.where(holds if each.ndim == 1 else holds[:, None], each, np.nan)
    return RectifierState(holds=holds, **figures)


def _mean(values: Floats, time: Floats) -> Floats:
    return np.asarray(np.trapezoid(values, time, axis=0) / time[-1])


def _mean_square(values: Floats, time: Floats) -> Floats:
    """Return the mean square of straight lines between the nodes, exactly."""
    a, b = values[:-1], values[1:]
    return np.asarray(np.sum(np.diff(time, axis=0) * (a * a + a * b + b * b), axis=0) / (3 * time[-1]))


def _harmonics(values: Floats, time: Floats) -> Floats:
    """Return the rms of the first harmonics of straight lines between the nodes, exactly, as (cases, order)."""
    steps = np.diff(time, axis=0)
    slopes = np.divide(np.diff(values, axis=0), steps, out=np.zeros_like(steps), where=steps > 0)
    found = []
    for order in range(1, HARMONICS + 1):
        omega = 2 * np.pi * order / time[-1]
        turns = np.exp(-1j * omega * time)
        integral = np.sum(slopes * (turns[:-1] - turns[1:]), axis=0) / -(omega**2)
        found.append(np.sqrt(2.0) * np.abs(integral) / time[-1])
    return np.stack(found, axis=-1)


def sawtooth_ripple(load_current_a: ArrayLike, ripple_frequency_hz: ArrayLike, capacitance_f: ArrayLike) -> Floats:
    """Return the p-p ripple of the rule of thumb I/(fC), which takes no time for the recharge.

    Source: common practice; it overstates, as the reservoir discharges for part of the period only.

    Parameters:
        load_current_a [A]: mean load current.
        ripple_frequency_hz [Hz]: twice the mains' frequency for full-wave circuits.
        capacitance_f [F]: the reservoir, > 0.

    >>> round(float(sawtooth_ripple(1.0, 100.0, 4.7e-3)), 2)
    2.13
    """
    amps, hertz, farads = (np.asarray(each, float) for each in (load_current_a, ripple_frequency_hz, capacitance_f))
    return np.asarray(amps / (hertz * farads))


def capacitor_from_source_current(source_current_a: ArrayLike, load_current_a: ArrayLike, share: float = 1.0) -> Floats:
    """Return the capacitor's rms current from the rms current of the winding that charges it.

    Source: rms currents of parts without common frequencies add as squares; common practice.

    Parameters:
        source_current_a [A]: rms current of the winding, of one half for a centre tap.
        load_current_a [A]: mean load current.
        share [1]: windings that charge in turn: 2 for a centre tap, 1 else.

    Raises nothing; NaN where the winding's current is below what the load alone needs.

    >>> round(float(capacitor_from_source_current(1.8, 1.0)), 1)
    1.5
    """
    return np.asarray(np.sqrt(share * np.square(source_current_a) - np.square(load_current_a)))
