"""The periodic steady state of a rectifier with a reservoir, for many cases at once.

One charging pulse and the discharge after it are integrated with an L-stable Runge-Kutta rule of second order,
each step solved exactly (a junction in series with a resistance is the Wright omega function). Newton's rule
then finds the starting voltage which the end meets again. The nodes are moved to where the diode conducts, so
that a conduction angle of one degree is resolved as well as one of ninety.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from recap.formulas.rectifier_diode import Floats, diode_curve

Mask = NDArray[np.bool_]

GAMMA = 1 - 1 / np.sqrt(2.0)  # makes the two-stage rule L-stable
NODES_BEFORE, NODES_WITHIN, NODES_AFTER = 20, 160, 50
ROUGH_TOLERANCE, FINE_TOLERANCE = 1e-2, 1e-5  # of the voltage that the load takes off the reservoir
MOST_PASSES = 40
MOST_PASSES_POWER = 12  # solutions with a constant-power load were met within 8 of them; others wander on
EMPTY = 0.02  # of the source's peak: a constant-power load finds no way back from there
SMALLEST_RESISTANCE_OHM = 1e-9
SMALLEST_CURRENT_A = 1e-12


@dataclass(frozen=True, slots=True)
class Circuit:
    """Rectifiers of one shape, their values as arrays of equal length.

    `stack` is the number of equal capacitors in series, which are charged in turn: one, or two in a doubler.
    `span_rad` is the angle from one charging pulse to the next: π for full-wave shapes, 2π for half-wave.
    """

    stack: int
    span_rad: float
    diodes_in_series: int
    peak_v: Floats
    angular_frequency: Floats
    source_resistance_ohm: Floats
    drop_v: Floats
    slope_ohm: Floats
    largest_emission_v: Floats
    capacitance_f: Floats
    esr_ohm: Floats
    load_current_a: Floats
    load_conductance_s: Floats
    load_power_w: Floats

    def source_at(self, angle_rad: Floats) -> Floats:
        """Return the source's voltage; full-wave shapes never see it turn negative."""
        wave = self.peak_v * np.sin(angle_rad)
        return np.maximum(wave, 0.0) if self.span_rad < 4 else wave

    def only(self, chosen: Mask) -> Circuit:
        """Return the chosen cases."""
        values = {field.name: getattr(self, field.name) for field in fields(self)}
        arrays: dict[str, Any] = {key: each[chosen] for key, each in values.items() if isinstance(each, np.ndarray)}
        return replace(self, **arrays)


@dataclass(frozen=True, slots=True)
class Swing:
    """What one span did: angles, time, voltages and currents as (nodes, cases)."""

    angle_rad: Floats
    time_s: Floats
    output_v: Floats
    diode_a: Floats
    load_a: Floats
    end_v: Floats  # of each capacitor, as (stack, cases)
    end_per_start: Floats  # its derivative by the voltage of each capacitor at the start, as (stack, stack, cases)

    @property
    def mean_load_a(self) -> Floats:
        """Mean load current."""
        return np.asarray(np.trapezoid(self.load_a, self.time_s, axis=0) / self.time_s[-1])


@dataclass(slots=True)
class Guess:
    """Where a solution starts: capacitor voltages, mean load current, output about which a power is made linear."""

    start_v: Floats
    mean_load_a: Floats
    about_v: Floats

    def only(self, chosen: Mask) -> Guess:
        """Return the chosen cases."""
        return Guess(self.start_v[:, chosen], self.mean_load_a[chosen], self.about_v[:, chosen])


@np.errstate(all="ignore")  # a constant power that the source cannot deliver runs away; it is left out as lost
def steady_state(circuit: Circuit) -> tuple[Swing, Mask]:
    """Return the periodic solution of every case, and which cases have one."""
    edge = np.full(len(circuit.peak_v), 0.02)
    angle = _nodes(circuit, edge, np.pi - edge)
    highest_v = circuit.stack * circuit.peak_v
    first_load = circuit.load_current_a + circuit.load_conductance_s * highest_v + circuit.load_power_w / highest_v
    guess = Guess(
        start_v=np.tile(0.6 * circuit.peak_v, (circuit.stack, 1)),
        mean_load_a=np.maximum(first_load, SMALLEST_CURRENT_A),
        about_v=np.tile(highest_v, (len(angle), 1)),
    )
    possible = _can_deliver(circuit)
    for _ in range(2):
        found, met = _shoot(circuit, angle, guess, ROUGH_TOLERANCE, possible)
        possible &= met | (circuit.load_power_w == 0)
        previous, angle = angle, _nodes(circuit, *_conduction(found))
        columns = [np.interp(a, b, v) for a, b, v in zip(angle.T, previous.T, guess.about_v.T, strict=True)]
        guess.about_v = np.stack(columns, axis=-1)
    return _shoot(circuit, angle, guess, FINE_TOLERANCE, possible)


def _can_deliver(circuit: Circuit) -> Mask:
    """Return which cases ask for no more power than a matched load would get from the source, V²/(4·R)."""
    half_cycles = 1.0 if circuit.span_rad < 4 else 0.5
    most_w = half_cycles * circuit.peak_v**2 / (8 * np.maximum(circuit.source_resistance_ohm, SMALLEST_RESISTANCE_OHM))
    return np.asarray(circuit.load_power_w <= most_w)


def _nodes(circuit: Circuit, first_rad: Floats, last_rad: Floats) -> Floats:
    """Return node angles as (nodes, cases), dense between the first and last conduction of each case."""
    before = np.linspace(0, 1, NODES_BEFORE, endpoint=False)[:, None] * first_rad
    within = first_rad + np.linspace(0, 1, NODES_WITHIN, endpoint=False)[:, None] * (last_rad - first_rad)
    after = last_rad + np.linspace(0, 1, NODES_AFTER)[:, None] * (circuit.span_rad - last_rad)
    return np.concatenate([before, within, after])


def _conduction(found: Swing) -> tuple[Floats, Floats]:
    """Return the angles between which the diode carries more than a thousandth of its peak, one node wider."""
    conducts = found.diode_a > 1e-3 * found.diode_a.max(axis=0)
    last_node = len(conducts) - 1
    first = np.maximum(conducts.argmax(axis=0) - 1, 1)
    last = np.minimum(last_node - conducts[::-1].argmax(axis=0) + 1, last_node - 1)
    cases = np.arange(conducts.shape[1])
    return found.angle_rad[first, cases], found.angle_rad[last, cases]


def _shoot(circuit: Circuit, angle: Floats, guess: Guess, tolerance: float, possible: Mask) -> tuple[Swing, Mask]:
    """Improve the guess until each capacitor ends where the next one started; return the last swing."""
    waiting, holds = possible.copy(), np.zeros(len(possible), bool)
    for passes in range(1, MOST_PASSES + 1 if waiting.any() else 1):
        c, g = circuit.only(waiting), guess.only(waiting)
        found = _swing(c, angle[:, waiting], g)
        missed = found.end_v[::-1] - g.start_v
        per_start = found.end_per_start[::-1] - np.eye(c.stack)[:, :, None]
        load = np.maximum(found.mean_load_a, SMALLEST_CURRENT_A)
        droop = np.minimum(load * found.time_s[-1] / c.capacitance_f, c.peak_v)
        near = np.all(np.abs(missed) < ROUGH_TOLERANCE * droop, axis=0)
        met = np.all(np.abs(missed) < tolerance * droop, axis=0)
        met &= np.abs(load - g.mean_load_a) < tolerance * load
        met &= (c.load_power_w == 0) | (np.abs(found.output_v / g.about_v - 1).max(axis=0) < tolerance)
        lost = near & (c.load_power_w > 0) & (found.output_v.min(axis=0) < EMPTY * c.peak_v)
        can_empty = (c.load_conductance_s == 0) | (c.stack > 1)
        lost |= can_empty & np.any((g.start_v == 0) & (missed < -ROUGH_TOLERANCE * droop), axis=0)
        lost |= ~np.isfinite(found.end_v).all(axis=0)
        lost |= (c.load_power_w > 0) & (passes >= MOST_PASSES_POWER) & ~met
        chosen = np.flatnonzero(waiting)
        following = np.clip(g.start_v + _newton(per_start, missed), 0.0, c.peak_v)
        guess.start_v[:, chosen] = np.where(lost, g.start_v, following)
        guess.mean_load_a[chosen] = np.where(lost, g.mean_load_a, load)
        guess.about_v[:, chosen] = np.where(near & ~lost, found.output_v, g.about_v)
        holds[chosen] = met
        waiting[chosen] = ~(met | lost)
        if not waiting.any():
            break
    return _swing(circuit, angle, guess), holds


def _newton(per_start: Floats, missed: Floats) -> Floats:
    """Return the change of the start that would make up for what was missed, were everything linear."""
    if len(missed) == 1:
        slope = np.minimum(per_start[0], -1e-9)  # no diode conducted: the caller keeps the step within bounds
        return np.asarray(-missed / slope)
    (a, b), (c, d) = per_start
    return np.asarray(np.stack([b * missed[1] - d * missed[0], c * missed[0] - a * missed[1]]) / (a * d - b * c))


def _swing(circuit: Circuit, angle: Floats, guess: Guess) -> Swing:
    """Integrate from the source's zero crossing to the end of the span."""
    c, solve = circuit, _Step(circuit, guess.mean_load_a)
    time, source = angle / c.angular_frequency, c.source_at(angle)
    between_source = c.source_at(angle[:-1] + GAMMA * np.diff(angle, axis=0))
    between_about = guess.about_v[:-1] + GAMMA * np.diff(guess.about_v, axis=0)
    diode_a, load_a, output_v = (np.empty_like(time) for _ in range(3))
    volts = guess.start_v
    per_start = np.tile(np.eye(c.stack)[:, :, None], len(c.peak_v))
    solve(source[0], guess.about_v[0], volts, np.zeros_like(c.peak_v))
    diode_a[0], load_a[0], output_v[0] = solve.diode_a, solve.load_a, solve.output_v
    for k, step in enumerate(np.diff(time, axis=0)):
        solve(between_source[k], between_about[k], volts, GAMMA * step)
        volts, per_start = solve.moved(volts, per_start, (1 - GAMMA) * step)
        solve(source[k + 1], guess.about_v[k + 1], volts, GAMMA * step)
        volts, per_start = solve.moved(volts, per_start, GAMMA * step)
        diode_a[k + 1], load_a[k + 1], output_v[k + 1] = solve.diode_a, solve.load_a, solve.output_v
    return Swing(angle, time, output_v, diode_a, load_a, volts, per_start)


class _Step:
    """One implicit step of the circuit, solved in closed form; its attributes are the solution."""

    diode_a: Floats
    load_a: Floats
    output_v: Floats
    diode_per_v: Floats

    def __init__(self, circuit: Circuit, mean_load_a: Floats) -> None:
        from scipy.special import wrightomega

        self.omega = wrightomega
        c = self.circuit = circuit
        curve = diode_curve(mean_load_a, c.drop_v, c.slope_ohm, c.largest_emission_v)
        self.log_reference = np.log(mean_load_a)
        self.emission_v = c.diodes_in_series * curve.emission_v
        self.offset_v = c.diodes_in_series * (curve.drop_v - curve.bulk_resistance_ohm * mean_load_a)
        self.resistance_ohm = c.source_resistance_ohm + c.diodes_in_series * curve.bulk_resistance_ohm

    def __call__(self, source_v: Floats, about_v: Floats, volts: Floats, step_s: Floats) -> None:
        """Solve for the end of a step; `volts` of the capacitors are those without this step's own share."""
        c = self.circuit
        z = step_s / c.capacitance_f + c.esr_ohm
        power_a = c.load_power_w / about_v
        conductance = c.load_conductance_s - power_a / about_v
        share = 1 + c.stack * z * conductance
        self.load_per_v = conductance / share
        self.load_per_diode = z * self.load_per_v
        rest_a = (c.load_current_a + 2 * power_a) / share + self.load_per_v * volts.sum(axis=0)
        resistance = np.maximum(self.resistance_ohm + z * (1 - self.load_per_diode), SMALLEST_RESISTANCE_OHM)
        drive_v = source_v - volts[0] + z * rest_a - self.offset_v
        scale = self.emission_v / resistance
        self.diode_a = scale * self.omega(drive_v / self.emission_v - np.log(scale) + self.log_reference)
        self.load_a = rest_a + self.load_per_diode * self.diode_a
        self.output_v = volts.sum(axis=0) + z * (self.diode_a - c.stack * self.load_a)
        self.diode_per_v = self.diode_a / (self.diode_a * resistance + self.emission_v)

    def moved(self, volts: Floats, per_start: Floats, step_s: Floats) -> tuple[Floats, Floats]:
        """Return capacitor voltages, and their derivatives, after so much time at the solution's currents."""
        farads_per_step = step_s / self.circuit.capacitance_f
        total = per_start.sum(axis=0)
        diode = self.diode_per_v * (self.load_per_diode * total - per_start[0])
        load = self.load_per_v * total + self.load_per_diode * diode
        volts, per_start = volts - farads_per_step * self.load_a, per_start - farads_per_step * load
        volts[0] += farads_per_step * self.diode_a
        per_start[0] += farads_per_step * diode
        return volts, per_start
