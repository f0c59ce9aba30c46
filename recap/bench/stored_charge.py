"""What a charged capacitor means: published thresholds, and a resistor that takes the charge out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from recap.bench.constants import constant
from recap.bench.resistors import ResistorBody, resistor_bodies, smallest_body
from recap.formulas.discharge import (
    discharge_time_s,
    initial_power_w,
    pulse_rating_w,
    stored_energy_j,
    time_constant_s,
)
from recap.formulas.preferred import next_up_preferred
from recap.ruledata import Row, number, table
from recap.rules.reference import significands

_TINY = 1e-9  # relative; a value this near a limit counts as being on it
_STEPS_TRIED = 200  # of E12, more than fifteen decades


@dataclass(frozen=True, slots=True)
class Threshold:
    """One published limit held against a capacitor.

    A `hazard` is met when the charge reaches it; a `discharge` demand is met when the resistor keeps it.
    """

    id: str
    kind: str
    text: str
    met: bool
    source: str

    @property
    def welcome(self) -> bool:
        """Whether `met` is the wished-for answer."""
        return self.met == (self.kind == "discharge")


@dataclass(frozen=True, slots=True)
class DischargeResistor:
    """A resistor to discharge with, and whether it is as quick as wished."""

    resistance_ohm: float
    body: ResistorBody
    quick: bool


def thresholds(capacitance_f: float, voltage_v: float, resistance_ohm: float) -> tuple[Threshold, ...]:
    """Hold a charged capacitor and its discharge resistor against every published threshold."""
    size = abs(voltage_v)
    return tuple(
        Threshold(row["id"], row["kind"], row["text"], _met(row, capacitance_f, size, resistance_ohm), row["source"])
        for row in table("discharge_thresholds")
    )


def _met(row: Row, capacitance_f: float, voltage_v: float, resistance_ohm: float) -> bool:
    limit = float(row["limit"])
    if row["kind"] == "discharge":
        exempt = number(row, "exempt_charge_c")
        if exempt is not None and capacitance_f * voltage_v <= exempt:
            return True
        return _discharge_figure(row, capacitance_f, voltage_v, resistance_ohm) <= limit * (1 + _TINY)
    if not _in_band(row, voltage_v):
        return False
    stored = {
        "energy_j": float(stored_energy_j(capacitance_f, voltage_v)),
        "charge_c": capacitance_f * voltage_v,
        "capacitance_f": capacitance_f,
    }[row["quantity"]]
    return stored >= limit * ((1 - _TINY) if row["limit_itself_counts"] == "yes" else (1 + _TINY))


def _in_band(row: Row, voltage_v: float) -> bool:
    """Tell whether a limit speaks of a voltage; an empty bound is no bound."""
    infinite = float("inf")
    at_least, above = number(row, "from_v") or 0.0, number(row, "over_v") or 0.0
    below, at_most = number(row, "below_v") or infinite, number(row, "up_to_v") or infinite
    return at_least <= voltage_v <= at_most and above < voltage_v < below


def _discharge_figure(row: Row, capacitance_f: float, voltage_v: float, resistance_ohm: float) -> float:
    tau_s = float(time_constant_s(capacitance_f, resistance_ohm))
    to_v = number(row, "to_v")
    return tau_s if to_v is None else float(discharge_time_s(voltage_v, to_v, tau_s))


def body_for_discharge(capacitance_f: float, voltage_v: float, resistance_ohm: float) -> ResistorBody | None:
    """Return the smallest resistor body that takes one discharge from cold."""
    power_w = float(initial_power_w(voltage_v, resistance_ohm))
    tau_s = float(time_constant_s(capacitance_f, resistance_ohm))
    rating = pulse_rating_w(power_w, tau_s, constant("pulse_overload"), constant("pulse_overload_s"))
    return smallest_body(float(rating), abs(voltage_v))


@cache
def suggested_resistor(capacitance_f: float, voltage_v: float) -> DischargeResistor:
    """Return the smallest body, and in it the fastest E12 resistor, that takes the pulse and is quick enough.

    Where no body sold does both, the largest one with the time that it needs.
    """
    bodies = [body for body in resistor_bodies() if body.rating_w >= constant("smallest_bench_rating_w")]
    choices = (_in_body(capacitance_f, abs(voltage_v), body) for body in bodies)
    return next(choice for choice in choices if choice.quick or choice.body is bodies[-1])


def _in_body(capacitance_f: float, voltage_v: float, body: ResistorBody) -> DischargeResistor:
    resistance = _fastest_ohm(capacitance_f, voltage_v, body)
    tau_s = float(time_constant_s(capacitance_f, resistance))
    time_s = float(discharge_time_s(voltage_v, constant("discharge_to_v"), tau_s))
    return DischargeResistor(resistance, body, time_s <= constant("discharge_time_s"))


def _fastest_ohm(capacitance_f: float, voltage_v: float, body: ResistorBody) -> float:
    """Return the smallest E12 resistor whose single discharge the body takes."""
    e12 = significands("E12")
    resistance = next_up_preferred(voltage_v**2 / (body.rating_w * constant("pulse_overload")), e12)
    for _ in range(_STEPS_TRIED):
        power_w = float(initial_power_w(voltage_v, resistance))
        tau_s = float(time_constant_s(capacitance_f, resistance))
        needed = pulse_rating_w(power_w, tau_s, constant("pulse_overload"), constant("pulse_overload_s"))
        if needed <= body.rating_w:
            return resistance
        resistance = next_up_preferred(resistance * 1.01, e12)
    raise AssertionError("a large enough resistor always takes the pulse")
