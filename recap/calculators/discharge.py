"""Stored energy, the published thresholds it passes, and a resistor that takes it out."""

from __future__ import annotations

from dataclasses import asdict

from recap.bench.constants import constant
from recap.bench.stored_charge import (
    DischargeResistor,
    Threshold,
    body_for_discharge,
    suggested_resistor,
    thresholds,
)
from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero, capacitance_f
from recap.formulas import discharge as formula
from recap.problems import Problem
from recap.units import farads, plain, si, volts

SHOWN_VOLTAGES_V = (60.0, 50.0, 10.0)
CAUTIONS = (
    "Unplug first, one hand, no jewellery. Measure, discharge through the resistor, measure again, short, tag; "
    "a voltmeter is no discharger, a screwdriver short damages and injures, and a bleeder is never to be trusted.",
    "Wet aluminium creeps back up: wait some minutes, measure again, and keep large cans shorted.",
    "The resistor must stand the voltage as well as the power; insulate its leads for the full voltage.",
    "Picture tubes, flash and microwave circuits are out of scope. Follow local codes and leave mains work to "
    "those licensed for it; only a measurement tells whether a charge is gone.",
)


def discharge(capacitance: str, voltage: str, resistor: str | None = None, to: str | None = None) -> Answer:
    """Return what a charged capacitor holds and how a resistor, given or suggested, takes it out."""
    value_f = capacitance_f(capacitance)
    voltage_v = above_zero(voltage.lstrip("+-"), "volt", "voltage")
    to_v = above_zero(to, "volt", "voltage to discharge to") if to is not None else constant("discharge_to_v")
    suggested = suggested_resistor(value_f, voltage_v) if resistor is None else None
    ohm = suggested.resistance_ohm if suggested else above_zero(resistor or "", "ohm", "resistor")
    body = suggested.body if suggested else body_for_discharge(value_f, voltage_v, ohm)
    tau_s = float(formula.time_constant_s(value_f, ohm))
    times = {shown: float(formula.discharge_time_s(voltage_v, shown, tau_s)) for shown in (to_v, *SHOWN_VOLTAGES_V)}
    rebound = [float(formula.rebound_v(voltage_v, constant(f"dielectric_absorption_{end}"))) for end in ("low", "high")]
    found = thresholds(value_f, voltage_v, ohm)
    energy_j = float(formula.stored_energy_j(value_f, voltage_v))
    power_w = float(formula.initial_power_w(voltage_v, ohm))
    result = {
        "energy_j": energy_j,
        "initial_power_w": power_w,
        "time_s": times[to_v],
        "thresholds": [asdict(each) for each in found],
        "to_v": to_v,
        "resistor_ohm": ohm,
        "resistor_rating_w": body.rating_w if body else None,
        "resistor_suggested": suggested is not None,
        "times": [{"to_v": shown, "time_s": times[shown]} for shown in SHOWN_VOLTAGES_V],
        "rebound_v": rebound,
    }
    rating = f"{plain(body.rating_w)} W {body.kind}" if body else "beyond any single resistor"
    lines = (
        f"{farads(value_f)} at {volts(voltage_v)} holds ½·C·V² = {si(energy_j, 'J')}.",
        f"Resistor {si(ohm, 'Ω')}, {rating}{' (suggested)' if suggested else ''}: "
        f"V²/R = {si(power_w, 'W')} at first, time constant {si(tau_s, 's')}.",
        f"Time down to {volts(to_v)}: R·C·ln(V/{plain(to_v, 4)} V) = {si(times[to_v], 's')}; "
        + ", ".join(f"{volts(shown)} {si(times[shown], 's')}" for shown in SHOWN_VOLTAGES_V)
        + ".",
        f"Dielectric absorption may bring back {volts(rebound[0])} to {volts(rebound[1])}.",
        *(_line(each) for each in found),
    )
    return Answer(result, lines, _sources(found), CAUTIONS, _problems(suggested, body is None))


def _line(threshold: Threshold) -> str:
    if threshold.kind == "hazard":
        answer = "REACHED" if threshold.met else "not reached"
    else:
        answer = "kept" if threshold.met else "NOT KEPT"
    return f"  {answer:12s} {threshold.text} [{threshold.source}]"


def _sources(found: tuple[Threshold, ...]) -> tuple[str, ...]:
    telling = (each.source for each in found if not each.welcome)
    return tuple(dict.fromkeys((*telling, "wikipedia-electrolytic", "our-judgement")))


def _problems(suggested: DischargeResistor | None, no_body: bool) -> tuple[Problem, ...]:
    if suggested is not None and not suggested.quick:
        message = f"no resistor sold brings it to {volts(constant('discharge_to_v'))} within "
        message += f"{plain(constant('discharge_time_s'))} s; the largest one is shown with the time it needs"
        return (Problem("slow-discharge", message, hint="use several resistors or discharge in sections"),)
    if no_body:
        message = "no single resistor sold takes this pulse"
        return (Problem("resistor-too-small", message, hint="leave --resistor away to have one suggested"),)
    return ()
