"""Ripple current from the circuit: what a rectifier's reservoir carries, shared among the capacitors of its rail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from recap.formulas.rectifier import RectifierState, rectified
from recap.formulas.ripple_frequency import MultiplierSet, class_sets, multiplier_sets
from recap.formulas.ripple_sharing import shared_ripple
from recap.model import RECTIFIED_SUPPLIES, Basis, Input, Kind, Mounting, Position, Rail, Role, SupplyKind, Unit
from recap.ruledata import table
from recap.rules import new_parts
from recap.rules.rectifiers import rectifier, softest_emission_v, winding_regulation
from recap.units import farads, plain, si, volts

RATING_HZ = 120.0
_TOPOLOGIES = {
    SupplyKind.BRIDGE: "bridge",
    SupplyKind.CENTRE_TAP: "centre-tap",
    SupplyKind.HALF_WAVE: "half-wave",
    SupplyKind.VOLTAGE_DOUBLER: "doubler",
}
_STYLES = {Mounting.AXIAL: "axial", Mounting.SMD_CAN: "smd", Mounting.SNAP_IN: "snap-in", Mounting.SCREW: "screw"}
RESERVOIRS = (Role.RESERVOIR, Role.PRIMARY_RESERVOIR)


@dataclass(frozen=True, slots=True)
class CircuitRipple:
    """One capacitor's share of its rail's ripple: rms at all frequencies, and its equal at the rating's 120 Hz."""

    rms_a: float
    equivalent_a: float
    frequency_hz: float
    inputs: tuple[Input, ...]
    multipliers_source: str


def lacking(unit: Unit, rail: Rail | None) -> tuple[str, ...]:
    """Return what the rail must still say before the circuit can be worked out."""
    if rail is None:
        return ("rail",)
    wanted: tuple[tuple[str, object], ...] = (
        ("supply kind of the rail (bridge, centre-tap, half-wave, voltage doubler)", rail.supply in RECTIFIED_SUPPLIES),
        ("secondary volts", rail.secondary_v),
        ("full load", rail.full_load_a),
        ("source resistance", rail.source_resistance_ohm),
        ("mains frequency", unit.mains_frequency_hz),
        ("rectifier", rectifier(rail.rectifier)),
    )
    return tuple(name for name, known in wanted if not known)


def circuit_ripple(unit: Unit, rail: Rail, position: Position, members: Sequence[Position]) -> CircuitRipple | None:
    """Return the position's share of the ripple; None where the rail has no steady state or a value is missing.

    Expects a rail that lacks nothing (`lacking`). A doubler's two capacitors each carry their own current.
    """
    values = [member.capacitance_f for member in members]
    ratings = [member.rated_voltage_v for member in members]
    if not values or any(value is None for value in (*values, *ratings)) or not unit.mains_frequency_hz:
        return None
    stacked = rail.supply is SupplyKind.VOLTAGE_DOUBLER
    farads_known = np.array([value for value in values if value is not None])
    esr = np.array([_esr_ohm(member) for member in members])
    halves = 2 if stacked and len(members) > 1 else 1
    total_f, total_esr_ohm = float(farads_known.sum()) / halves, halves / float(np.sum(1 / esr))
    unloaded_v = (rail.secondary_v or 0.0) * (1 + winding_regulation(unit, rail))
    state = _state(rail, unloaded_v, unit.mains_frequency_hz, total_f, total_esr_ohm)
    if not state.holds:
        return None
    frequency = float(state.ripple_frequency_hz)
    orders = np.arange(1, len(state.harmonics_a) + 1) * frequency
    at = next(index for index, member in enumerate(members) if member.key == position.key)
    share = state.harmonics_a if stacked else shared_ripple(state.harmonics_a, orders, farads_known, esr)[at]
    # The few harmonics miss the tail of the pulse; their sum is scaled to the whole rms.
    whole = float(np.sqrt(np.sum(np.square(state.harmonics_a))))
    tail = float(state.ripple_current_a) / whole
    currents = np.asarray(share, float) * tail
    chosen = _multipliers(position)
    factors = np.array([chosen.at(float(hertz), RATING_HZ) for hertz in orders])
    return CircuitRipple(
        rms_a=float(np.sqrt(np.sum(currents**2))),
        equivalent_a=float(np.sqrt(np.sum((currents / factors) ** 2))),
        frequency_hz=frequency,
        inputs=_inputs(rail, unit, total_f, len(members)),
        multipliers_source=chosen.source,
    )


@lru_cache(maxsize=4096)
def _state(rail: Rail, unloaded_v: float, mains_hz: float, total_f: float, esr_ohm: float) -> RectifierState:
    kind = rectifier(rail.rectifier)
    assert kind is not None
    assert rail.full_load_a is not None
    drop = kind.drop_v(rail.full_load_a)
    return rectified(
        _TOPOLOGIES[rail.supply],
        unloaded_v,
        mains_hz,
        total_f,
        load_current_a=rail.full_load_a,
        source_resistance_ohm=rail.source_resistance_ohm or 0.0,
        esr_ohm=esr_ohm,
        diode_drop_v=drop,
        diode_slope_ohm=kind.slope_ohm(rail.full_load_a, drop),
        largest_emission_v=softest_emission_v(),
    )


def _esr_ohm(position: Position) -> float:
    series = new_parts.esr_series(position.body.mounting, position.body.kind)
    return new_parts.esr_ceiling(series, position.capacitance_f or 0.0, position.rated_voltage_v or 0.0)


def _multipliers(position: Position) -> MultiplierSet:
    """Return the multipliers of the part's class; of several that may stand for it, the one that helps least."""
    style = "polymer" if position.body.kind is Kind.SOLID_POLYMER else _STYLES.get(position.body.mounting, "radial")
    sets = class_sets(multiplier_sets(table("ripple_multipliers")), style, position.rated_voltage_v, RATING_HZ)
    return min(sets, key=lambda each: each.at(10 * RATING_HZ, RATING_HZ))


def _inputs(rail: Rail, unit: Unit, total_f: float, members: int) -> tuple[Input, ...]:
    known = Basis.DOCUMENTED
    shared = f"{farads(total_f)} in {members} parts" if members > 1 else farads(total_f)
    return (
        Input(f"rail {rail.name}", f"{rail.supply}, {rail.rectifier}", known),
        Input("secondary", f"{volts(rail.secondary_v or 0.0)} rms loaded", known),
        Input("rise of the unloaded winding", f"{plain(winding_regulation(unit, rail) * 100)} %", Basis.ASSUMED),
        Input("full load", si(rail.full_load_a or 0.0, "A"), known),
        Input("source resistance", si(rail.source_resistance_ohm or 0.0, "Ω"), known),
        Input("mains", f"{plain(unit.mains_frequency_hz or 0.0)} Hz", known),
        Input("reservoir", shared, Basis.MARKED),
    )
