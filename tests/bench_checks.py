"""Bench sums in the form that published checks need: plain inputs, one value out."""

from __future__ import annotations

from recap.bench.charged_banks import passed_thresholds
from recap.bench.loads import lamp_load, rail_load
from recap.bench.reform import History, reform_plan
from recap.bench.stored_charge import thresholds
from recap.formulas.lamp import FilamentLamp, lamp_current_a
from recap.model import Rail, SupplyKind
from recap.ruledata import table


def reaches(limit: str, capacitance_f: float, voltage_v: float) -> bool:
    """Whether a charge reaches a published hazard limit."""
    return limit in {each.id for each in passed_thresholds(capacitance_f, voltage_v)}


def keeps(limit: str, capacitance_f: float, voltage_v: float, resistance_ohm: float) -> bool:
    """Whether a resistor keeps a published demand on discharging."""
    return {each.id: each.met for each in thresholds(capacitance_f, voltage_v, resistance_ohm)}[limit]


def lamp_power_share(voltage_share: float) -> float:
    """The part of its rated power that a lamp takes at a part of its rated voltage."""
    lamp = FilamentLamp(100.0, 230.0, 0.55, 15.0)
    return voltage_share * float(lamp_current_a(lamp, 230.0 * voltage_share)) / lamp.rated_current_a


def cold_surge(current_a: float) -> tuple[float, float]:
    """What a lamp as a load draws when cold."""
    return lamp_load(12.0, current_a).surge_a


def least_load_ohm(rail_v: float, full_load_a: float) -> float:
    """The least load of a switching rail of which only the full load is known."""
    least = rail_load(Rail("r", nominal_v=rail_v, full_load_a=full_load_a, supply=SupplyKind.FORWARD)).least
    assert least is not None
    return least.preferred_ohm


def published_way(name: str, voltage_v: float) -> tuple[float, float]:
    """Resistor and minutes of a published reforming procedure for unused dated stock."""
    ways = reform_plan(100e-6, voltage_v, 1.0, History.UNUSED).published
    way = next(way for way in ways if way.id == name)
    return way.resistance_ohm, way.minutes


def reform_steps(stored_y: float) -> list[list[float]]:
    """Voltages, as parts of the rating, and minutes of the steps for unused stock."""
    plan = reform_plan(100e-6, 400.0, stored_y, History.UNUSED)
    return [[step.voltage_v / 400.0, step.minutes] for step in plan.steps if step.voltage_v > 0]


def bench_limit(check: str) -> float:
    """The limit of a check before power."""
    row = next(row for row in table("bench_checks") if row["id"] == check)
    return float(row["low"] or row["high"])
