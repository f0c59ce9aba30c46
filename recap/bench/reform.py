"""A reforming plan for a wet aluminium capacitor out of the circuit: resistor, current limit, steps."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from recap.bench.constants import constant
from recap.bench.resistors import ResistorBody, body_with_margin
from recap.bench.stored_charge import DischargeResistor, suggested_resistor
from recap.formulas.discharge import initial_power_w, time_constant_s
from recap.formulas.leakage import leakage_limit_a
from recap.formulas.preferred import next_up_preferred
from recap.formulas.reform import series_resistor_ohm, stock_current_limit_a, used_current_limit_a
from recap.ruledata import Row, number, table
from recap.rules.reference import significands
from recap.units import si


class History(StrEnum):
    """What a part has been through; used also stands for undated."""

    USED = "used"
    UNUSED = "unused"


@dataclass(frozen=True, slots=True)
class ReformStep:
    """A voltage to set, for how long, and what to look at meanwhile."""

    voltage_v: float
    minutes: float
    watch: str


@dataclass(frozen=True, slots=True)
class PublishedProcedure:
    """A published way for unused dated stock on a current-limited supply."""

    id: str
    resistance_ohm: float
    minutes: float
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class ReformPlan:
    """How to bring one part back, and what it must then leak at most."""

    history: History
    resistance_ohm: float
    body: ResistorBody | None
    current_limit_a: float
    shorted_power_w: float
    steps: tuple[ReformStep, ...]
    accept_leakage_a: float
    discharge: DischargeResistor
    published: tuple[PublishedProcedure, ...]
    procedure_source: str


def reform_plan(capacitance_f: float, voltage_v: float, stored_y: float | None, history: History) -> ReformPlan:
    """Return the plan for one part at its rated voltage; unused stock without a date is treated as used."""
    if stored_y is None:
        history = History.USED
    accept_a = accept_leakage_a(capacitance_f, voltage_v)
    limit_a = _current_limit_a(accept_a, history)
    e12 = significands("E12")
    resistance = next_up_preferred(float(series_resistor_ohm(voltage_v, limit_a)), e12)
    shorted_w = float(initial_power_w(voltage_v, resistance))
    procedure = _procedure(history, stored_y)
    charging_min = 5 * float(time_constant_s(capacitance_f, resistance)) / 60
    return ReformPlan(
        history,
        resistance,
        body_with_margin(shorted_w, voltage_v),
        limit_a,
        shorted_w,
        _steps(procedure, voltage_v, resistance, limit_a, accept_a, charging_min),
        accept_a,
        suggested_resistor(capacitance_f, voltage_v),
        _published(voltage_v) if history is History.UNUSED else (),
        procedure["source"],
    )


def accept_leakage_a(capacitance_f: float, voltage_v: float) -> float:
    """Return the most that a part may leak after reforming, in A."""
    factor, offset = constant("reform_leakage_factor_per_s"), constant("reform_leakage_offset_a")
    return float(leakage_limit_a(capacitance_f, voltage_v, factor, offset))


def _current_limit_a(accept_leakage_a: float, history: History) -> float:
    factor = constant("reform_limit_factor")
    if history is History.UNUSED:
        return float(stock_current_limit_a(accept_leakage_a, factor, constant("reform_limit_floor_a")))
    small, large = constant("reform_used_small_a"), constant("reform_used_large_a")
    return float(used_current_limit_a(accept_leakage_a, factor, small, large))


def _procedure(history: History, stored_y: float | None) -> Row:
    """Return the row for the history and the years; unknown years count as the longest."""
    years = float("inf") if stored_y is None else stored_y
    return next(
        row
        for row in table("reform_procedures")
        if row["history"] == history and years <= (number(row, "stored_up_to_y") or float("inf"))
    )


def _steps(
    procedure: Row,
    voltage_v: float,
    resistance_ohm: float,
    limit_a: float,
    accept_a: float,
    charging_min: float,
) -> tuple[ReformStep, ...]:
    """Return the rising voltages, each held at least until the resistor has charged the part."""
    minutes = max(float(procedure["minutes"]), charging_min)
    start = ReformStep(
        0.0, 1.0, "polarity twice, resistor in series, meter across the resistor: it reads nothing at 0 V"
    )
    fractions = [float(text) for text in procedure["voltage_fraction"].split()]
    steps = [start]
    for fraction in fractions:
        drop_v = min(accept_a * resistance_ohm, voltage_v * constant("reform_drop_accept"))
        aim = (
            f"the drop across the resistor falls below {si(drop_v, 'V')} and goes on falling"
            if fraction == fractions[-1]
            else f"the current, never above {si(limit_a, 'A')}, has fallen and settled before the next step"
        )
        steps.append(ReformStep(voltage_v * fraction, minutes, f"{aim}; stop at any warming, bulging or hiss"))
    return tuple(steps)


def _published(voltage_v: float) -> tuple[PublishedProcedure, ...]:
    found: dict[str, PublishedProcedure] = {}
    for row in table("reform_published"):
        up_to = number(row, "up_to_v")
        if up_to is None or voltage_v <= up_to:
            entry = PublishedProcedure(
                row["id"], float(row["resistor_ohm"]), float(row["minutes"]), row["text"], row["source"]
            )
            found.setdefault(entry.id, entry)
    return tuple(found.values())
