"""Capacitors that charge and discharge as one: parallel banks, stacks, single ones, each with its worst voltage."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from recap.bench.constants import constant
from recap.bench.rails import is_live, worst_rail
from recap.bench.stored_charge import suggested_resistor, thresholds
from recap.formulas import discharge as formula
from recap.formulas.voltage import peak_of_sine
from recap.model import Basis, Position, PositionKey, Rail, Role, SupplyKind, Unit
from recap.model.bench import ChargedBank, ChargedPosition, Discharge, PassedThreshold
from recap.rules.reference import mains_high_fraction
from recap.units import volts

SHOWN_VOLTAGES_V = (60.0, 50.0, 10.0)
BESIDE_THE_RAIL = {
    Role.COUPLING, Role.TIMING, Role.DEFLECTION, Role.CROSSOVER, Role.START_UP, Role.MAINS_SAFETY, Role.BACKUP,
}  # fmt: skip
"""Roles in which a rail may be named without the part standing across it."""
_RESERVOIRS = {Role.RESERVOIR, Role.PRIMARY_RESERVOIR}


@dataclass(frozen=True, slots=True)
class Node:
    """Positions between the same two points, or stacked between them; `read_v` is the highest reading of the rail."""

    rail: Rail | None
    positions: tuple[Position, ...]
    read_v: float | None
    stacked: bool = False


def nodes(positions: Sequence[Position], unit: Unit, readings: dict[str, float]) -> Iterable[Node]:
    """Group positions: those on one rail are a parallel bank, a doubler's reservoirs a stack, the rest single."""
    on_rail: dict[str, list[Position]] = defaultdict(list)
    for position in positions:
        rail = unit.rail(position.rail) if position.rail else None
        if rail is None or position.role in BESIDE_THE_RAIL:
            measured = position.measured.working_voltage_v
            yield Node(None, (position,), abs(measured) if measured else None)
        else:
            on_rail[rail.name].append(position)
    for name, members in on_rail.items():
        rail = unit.rail(name)
        stack = [p for p in members if p.role in _RESERVOIRS]
        if rail is not None and rail.supply is SupplyKind.VOLTAGE_DOUBLER and len(stack) > 1:
            yield Node(rail, tuple(stack), None, stacked=True)
            members = [p for p in members if p not in stack]
        if members:
            yield Node(rail, tuple(members), readings.get(name))


def charge_of(node: Node, unit: Unit) -> ChargedBank:
    """Return the charge of one node, its worst voltage, and how to take it out."""
    if node.stacked:
        voltages = [_half_voltage(node, p, unit) for p in node.positions]
        members = tuple(_member(p, v, basis) for p, (v, basis) in zip(node.positions, voltages, strict=True))
        half_v = max(v for v, _ in voltages)
        voltage_v, basis = 2 * half_v, max((b for _, b in voltages), key=_worse)
        capacitance_f, arrangement = _stack(node.positions)
        why = f"two halves of up to {volts(half_v)} stacked, each {_said(basis)}"
        energy_j = sum(member.energy_j for member in members)
    else:
        voltage_v, basis, why = _node_voltage(node, unit)
        members = tuple(_member(p, voltage_v, basis) for p in node.positions)
        capacitance_f = sum(member.capacitance_f for member in members)
        count = sum(p.quantity for p in node.positions)
        arrangement = "single" if count == 1 else f"{count} in parallel"
        energy_j = float(formula.stored_energy_j(capacitance_f, voltage_v))
    passed = passed_thresholds(capacitance_f, voltage_v)
    return ChargedBank(
        name=_name(node),
        rail=node.rail.name if node.rail else "",
        arrangement=arrangement,
        members=members,
        capacitance_f=capacitance_f,
        voltage_v=voltage_v,
        voltage_why=why,
        basis=basis,
        energy_j=energy_j,
        passed=passed,
        discharge=discharge(capacitance_f, voltage_v),
        measure_at=_measure_at(node, members),
        notable=bool(passed) or voltage_v > constant("discharge_to_v"),
    )


def _member(position: Position, voltage_v: float, basis: Basis) -> ChargedPosition:
    capacitance_f = (position.capacitance_f or 0.0) * position.quantity
    return ChargedPosition(
        position.key,
        capacitance_f,
        voltage_v,
        basis,
        float(formula.stored_energy_j(capacitance_f, voltage_v)),
        passed_thresholds(capacitance_f, voltage_v),
    )


@cache
def passed_thresholds(capacitance_f: float, voltage_v: float) -> tuple[PassedThreshold, ...]:
    """Return the published hazard limits that a charge reaches, with their sources."""
    found = thresholds(capacitance_f, voltage_v, 1.0)
    return tuple(PassedThreshold(t.id, t.text, t.source) for t in found if t.kind == "hazard" and t.met)


def own_voltage(position: Position, unit: Unit) -> tuple[float, Basis] | None:
    """Return the voltage of a position by itself: as measured, else its rating, assumed."""
    measured = position.measured.working_voltage_v
    if position.role is Role.MAINS_SAFETY or position.marked.ac:
        return _ac_peak(position, unit)
    if measured:
        return abs(measured), Basis.MEASURED
    rail = unit.rail(position.rail) if position.rail else None
    rated = position.rated_voltage_v
    if rated is None and rail is not None and rail.nominal_v is not None:
        return worst_rail(rail, unit), Basis.DOCUMENTED
    return None if rated is None else (rated, Basis.ASSUMED)


def _ac_peak(position: Position, unit: Unit) -> tuple[float, Basis] | None:
    """Return the crest at which the plug may be pulled: of the mains, else of the marked AC rating."""
    if position.role is Role.MAINS_SAFETY and unit.mains_voltage_v:
        return peak_of_sine(unit.mains_voltage_v) * (1 + mains_high_fraction()), Basis.CALCULATED
    rated = position.rated_voltage_v
    return None if rated is None else (peak_of_sine(rated), Basis.ASSUMED)


def _node_voltage(node: Node, unit: Unit) -> tuple[float, Basis, str]:
    """Return the highest voltage to reckon with between two points, its basis and how it was found.

    A reading counts, but never less than the rail's own nominal value. Without a reading the rating is
    assumed: the lowest one that the rail does not exceed, or the highest where the rail is not described.
    """
    rail = node.rail
    rail_v = worst_rail(rail, unit) if rail is not None and rail.nominal_v is not None else 0.0
    if node.read_v and not any(p.marked.ac or p.role is Role.MAINS_SAFETY for p in node.positions):
        nominal = abs(rail.nominal_v) if rail is not None and rail.nominal_v is not None else 0.0
        why = f"measured {volts(node.read_v)}"
        if nominal > node.read_v:
            return nominal, Basis.DOCUMENTED, f"{why}, but the rail's nominal {volts(nominal)} is higher and counts"
        return node.read_v, Basis.MEASURED, why
    own = [found for p in node.positions if (found := own_voltage(p, unit))]
    assumed = [v for v, basis in own if basis is Basis.ASSUMED and v >= rail_v]
    if rail_v and not assumed:
        return rail_v, Basis.DOCUMENTED, "worst case of the rail as described; not measured"
    if not assumed:
        voltage_v, basis = max(own)
        return voltage_v, basis, "crest of the mains, 10 % high" if basis is Basis.CALCULATED else _said(basis)
    voltage_v = min(assumed) if rail_v else max(assumed)
    which = "crest of the AC rating" if node.positions[0].marked.ac else "rated voltage"
    return voltage_v, Basis.ASSUMED, f"{which} assumed, not measured"


def _half_voltage(node: Node, position: Position, unit: Unit) -> tuple[float, Basis]:
    """Return what stands across one half of a stack."""
    rail = node.rail
    nominal_half = abs(rail.nominal_v) / 2 if rail is not None and rail.nominal_v is not None else 0.0
    own = own_voltage(position, unit)
    assert own is not None
    return max(own[0], nominal_half), own[1]


def _stack(positions: Sequence[Position]) -> tuple[float, str]:
    """Return the capacitance across a doubler's stack; an even number of equal parts is split into two halves."""
    values = sorted((p.capacitance_f or 0.0) * p.quantity for p in positions)
    if len(values) == 2:
        return values[0] * values[1] / sum(values), "2 stacked (voltage doubler)"
    if len(values) % 2 == 0 and values[-1] <= values[0] * 1.01:
        half = sum(values) / 2
        return half / 2, f"{len(values)} stacked as two banks of {len(values) // 2} (voltage doubler)"
    return sum(values) / 4, f"{len(values)} stacked (voltage doubler); which half each belongs to is not known"


@cache
def discharge(capacitance_f: float, voltage_v: float) -> Discharge:
    """Return a resistor for one charge, with its times and what may come back."""
    chosen = suggested_resistor(capacitance_f, voltage_v)
    tau_s = float(formula.time_constant_s(capacitance_f, chosen.resistance_ohm))
    times = tuple((to_v, float(formula.discharge_time_s(voltage_v, to_v, tau_s))) for to_v in SHOWN_VOLTAGES_V)
    low, high = (constant(f"dielectric_absorption_{end}") for end in ("low", "high"))
    return Discharge(
        chosen.resistance_ohm,
        chosen.body.rating_w,
        chosen.body.kind,
        float(formula.initial_power_w(voltage_v, chosen.resistance_ohm)),
        tau_s,
        times,
        max(constant("discharge_hold_time_constants") * tau_s, times[-1][1]),
        (float(formula.rebound_v(voltage_v, low)), float(formula.rebound_v(voltage_v, high))),
        constant("rebound_wait_s"),
        chosen.quick,
    )


_NAMED = 8
"""So many members of a bank are named, the others counted."""


def _name(node: Node) -> str:
    names = [short_name(p.key) for p in node.positions]
    listed = ", ".join(names[:_NAMED]) + (f" and {len(names) - _NAMED} more" if len(names) > _NAMED else "")
    return f"{node.rail.name} ({listed})" if node.rail else listed


def short_name(key: PositionKey) -> str:
    """Return board, designator and section."""
    return "/".join(part for part in key[1:] if part)


def _measure_at(node: Node, members: Sequence[ChargedPosition]) -> str:
    largest = short_name(max(members, key=lambda member: member.energy_j).key)
    if node.stacked:
        names = " and ".join(short_name(p.key) for p in node.positions)
        return f"across each of {names}, and across the whole stack (unequal halves keep a rest)"
    if node.rail is None:
        return f"across {largest}"
    where = f"across {largest}, between {node.rail.name} and {node.rail.other_side}"
    if is_live(node.rail, node.positions):
        where += " (mains side: not against the chassis)"
    return where


def _worse(basis: Basis) -> int:
    return list(Basis).index(basis)


def _said(basis: Basis) -> str:
    return "rated voltage, assumed" if basis is Basis.ASSUMED else str(basis)
