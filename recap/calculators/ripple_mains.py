"""Rectifier and reservoir on a sine source."""

from __future__ import annotations

import math
from typing import Any

from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero, capacitance_f, of_any_sign
from recap.calculators.ripple_transients import hold_up, switching_on
from recap.formulas.rectifier import TOPOLOGIES, RectifierState, rectified, sawtooth_ripple
from recap.problem_codes import report
from recap.problems import Problem, RecapError
from recap.ruledata import table
from recap.rules.rectifiers import Rectifier, assumption, softest_emission_v
from recap.rules.rectifiers import rectifier as rectifier_of
from recap.units import NotAQuantity, farads, plain, quoted, si, volts

RECTIFIERS = ("bridge", "centre-tap", "half-wave", "doubler")
MAINS_CAUTION = (
    "A source of this voltage may be the mains itself: then the reservoir and everything behind it is live, an "
    "oscilloscope's earth clip shorts it, and measuring it is work behind an isolating transformer for those "
    "licensed for it, under local codes."
)
CHARGE_CAUTION = (
    "The reservoir holds a dangerous voltage and keeps it after switching off: discharge through a resistor, "
    "measure, and measure again before touching."
)
UPPER_CAUTION = (
    "Leakage inductance of a real transformer lowers the peaks and the ripple current; high mains and the tolerance "
    "of the capacitor raise them."
)


def mains_ripple(
    supply: str,
    *,
    mains: str = "",
    secondary: str = "",
    capacitance: str = "",
    load: str | None = None,
    load_resistance: str | None = None,
    load_power: str | None = None,
    source_resistance: str | None = None,
    esr: str | None = None,
    diode_drop: str | None = None,
    diode_resistance: str | None = None,
    rectifier: str = "silicon",
    holds_to: str | None = None,
    original_capacitance: str | None = None,
) -> Answer:
    """Return the steady state of a rectifier; texts with units, assumptions stated among the problems."""
    hertz = above_zero(_needed(mains, "mains", "50Hz"), "hertz", "mains frequency")
    rms_v = above_zero(_needed(secondary, "secondary", "9V"), "volt", "secondary voltage")
    lowest_hz, highest_hz = assumption("lowest_mains_frequency"), assumption("highest_mains_frequency")
    if not lowest_hz <= hertz <= highest_hz:
        raise NotAQuantity(f'"{quoted(mains)}" is no mains frequency: {plain(lowest_hz)} to {plain(highest_hz)} Hz')
    least_v = assumption("lowest_secondary")
    if rms_v < least_v:
        raise NotAQuantity(f'"{quoted(secondary)}" is no secondary: no rectifier works below {volts(least_v)}')
    value_f = capacitance_f(_needed(capacitance, "capacitance", "4700uF"))
    if sum(text is not None for text in (load, load_resistance, load_power)) != 1:
        raise NotAQuantity("give the load once: --load 2A, --load-resistance 6ohm or --load-power 20W")
    amps = above_zero(load, "ampere", "load current") if load is not None else 0.0
    ohm = above_zero(load_resistance, "ohm", "load resistance") if load_resistance is not None else math.inf
    watts = above_zero(load_power, "watt", "load power") if load_power is not None else 0.0
    about_v = rms_v * (2 if supply == "doubler" else 1) * 1.2  # only to set what was not given
    about_a = amps + about_v / ohm + watts / about_v
    problems: list[Problem] = []
    drop_v, slope_ohm = _rectifier(rectifier, about_a, diode_drop, diode_resistance, problems)
    source_ohm = _not_negative(source_resistance, "source resistance")
    if source_ohm is None:
        source_ohm = assumption("transformer_regulation") * rms_v / (assumption(f"secondary_ratio_{supply}") * about_a)
        regulation = plain(100 * assumption("transformer_regulation"))
        message = (
            f"source resistance not given: {si(source_ohm, 'Ω')} assumed, a transformer that sags by {regulation} %"
        )
        problems.append(
            _assumed(message, "measure the winding and add the primary's share, or give --source-resistance")
        )
    esr_ohm = _not_negative(esr, "ESR")
    if esr_ohm is None:
        esr_ohm = 0.0
        problems.append(
            _assumed("ESR not given: taken as zero, so the ripple current is an upper figure", "give --esr")
        )
    state = rectified(
        supply,
        rms_v,
        hertz,
        value_f,
        load_current_a=amps,
        load_resistance_ohm=ohm,
        load_power_w=watts,
        source_resistance_ohm=source_ohm,
        esr_ohm=esr_ohm,
        diode_drop_v=drop_v,
        diode_slope_ohm=slope_ohm,
        largest_emission_v=softest_emission_v(),
    )
    if not state.holds:
        raise RecapError(_why_none(supply, value_f, watts))
    result: dict[str, Any] = {
        name: float(getattr(state, name))
        for name in (
            "dc_v", "ripple_vpp", "ripple_current_a", "peak_capacitor_current_a", "peak_diode_current_a",
            "ripple_frequency_hz", "conduction_angle_deg",
        )
    }  # fmt: skip
    result["harmonics_a"] = [float(each) for each in state.harmonics_a]
    path_ohm = source_ohm + TOPOLOGIES[supply].diodes_in_series * slope_ohm + esr_ohm
    original_f = None if original_capacitance is None else capacitance_f(original_capacitance)
    rush, rush_lines = switching_on(supply, rms_v, value_f, path_ohm, drop_v, original_f)
    result |= rush
    result["hold_up_s"] = None
    if holds_to is not None:
        end_v = above_zero(holds_to, "volt", "lowest voltage")
        result["hold_up_s"], said = hold_up(supply, value_f, esr_ohm, state, watts, end_v)
        rush_lines.append(said)
    lines = (
        f"{_shape(supply)}, {volts(rms_v)} rms at {plain(hertz)} Hz, {_reservoir(supply, value_f)}, "
        f"source {si(source_ohm, 'Ω')}, ESR {si(esr_ohm, 'Ω')}, diode {volts(drop_v)} and {si(slope_ohm, 'Ω')}:",
        *_lines(supply, hertz, value_f, state),
        *rush_lines,
    )
    cautions = [UPPER_CAUTION]
    if state.highest_v > assumption("touch_voltage_dc"):
        cautions.insert(0, CHARGE_CAUTION)
    if rms_v >= assumption("mains_secondary"):
        cautions.insert(0, MAINS_CAUTION)
    sources = ["our-judgement"]
    if source_resistance is None and supply != "doubler":
        sources.append("atc-frost-secondary-ratings")
    if diode_drop is None:
        sources.append(_type(rectifier).source)
    return Answer(result, lines, tuple(dict.fromkeys(sources)), tuple(cautions), tuple(problems))


def _rectifier(
    name: str, load_a: float, drop: str | None, slope: str | None, problems: list[Problem]
) -> tuple[float, float]:
    """Return drop and slope of one diode at the load current, from the options or the type's row."""
    kind = _type(name)
    drop_v = _not_negative(drop, "diode drop", "volt")
    slope_ohm = _not_negative(slope, "diode resistance")
    if drop_v is None:
        drop_v = kind.drop_v(load_a)
        problems.append(_assumed(f"diode drop not given: {volts(drop_v)} taken for {kind.title}", "give --diode-drop"))
    if slope_ohm is None:
        slope_ohm = kind.slope_ohm(load_a, drop_v)
        message = f"diode resistance not given: {si(slope_ohm, 'Ω')} taken, as {kind.title} has at the load current"
        problems.append(_assumed(message, "give --diode-resistance"))
    return drop_v, slope_ohm


def _type(name: str) -> Rectifier:
    kind = rectifier_of(name)
    if kind is None:
        known = ", ".join(row["type"] for row in table("rectifier_drops"))
        raise NotAQuantity(f'"{quoted(name)}" is no rectifier known here: {known}')
    return kind


def _lines(supply: str, hertz: float, value_f: float, state: RectifierState) -> list[str]:
    load_a, ripple_v, ripple_a = float(state.load_current_a), float(state.ripple_vpp), float(state.ripple_current_a)
    capacitor_hz, rail_hz = float(state.ripple_frequency_hz), hertz * (1 if supply == "half-wave" else 2)
    harmonics = ", ".join(si(float(each), "A") for each in state.harmonics_a)
    doubler = supply == "doubler"
    return [
        f"  mean {volts(float(state.dc_v))} at {si(load_a, 'A')}, highest {volts(float(state.highest_v))}, "
        f"ripple {si(ripple_v, 'V')} p-p at {plain(rail_hz)} Hz",
        f"  capacitor{' (each)' if doubler else ''} {si(ripple_a, 'A')} rms at {plain(capacitor_hz)} Hz and above, "
        f"{plain(ripple_a / load_a)} times the load; peak {si(float(state.peak_capacitor_current_a), 'A')}",
        f"  diode peak {si(float(state.peak_diode_current_a), 'A')}, "
        f"conducting {plain(float(state.conduction_angle_deg))}° of the mains' period a pulse",
        f"  harmonics of {plain(capacitor_hz)} Hz, rms: {harmonics}",
        *_against_the_rule(float(sawtooth_ripple(load_a, rail_hz, value_f / (2 if doubler else 1))), ripple_v),
    ]


def _against_the_rule(rule_v: float, ripple_v: float) -> list[str]:
    if ripple_v == 0:
        return []
    return [
        f"  the rule I/(fC) would say {si(rule_v, 'V')} p-p, {plain(rule_v / ripple_v)} times as much: "
        "it gives the recharge no time"
    ]


def _why_none(supply: str, value_f: float, watts: float) -> str:
    if watts:
        return (
            f"no steady state: the source cannot deliver {si(watts, 'W')} through its resistance with "
            f"{_reservoir(supply, value_f)}; a constant-power load then pulls the rail down. "
            "Check --load-power, --source-resistance, --esr and --capacitance"
        )
    return (
        f"no steady state: the load empties {_reservoir(supply, value_f)} between two pulses or drags the source "
        "down. Check the load, --capacitance and --source-resistance; a load that falls with the voltage is given "
        "with --load-resistance"
    )


def _shape(supply: str) -> str:
    return {
        "bridge": "Bridge",
        "centre-tap": "Centre tap, per half",
        "half-wave": "Half wave",
        "doubler": "Doubler",
    }[supply]


def _reservoir(supply: str, value_f: float) -> str:
    return f"2 × {farads(value_f)} in series" if supply == "doubler" else farads(value_f)


def _needed(text: str, name: str, example: str) -> str:
    if not text:
        raise NotAQuantity(f"--{name} is needed, such as --{name} {example}")
    return text


def _not_negative(text: str | None, what: str, unit: str = "ohm") -> float | None:
    if text is None:
        return None
    value = of_any_sign(text, unit, what)
    if not 0 <= value < math.inf:
        raise NotAQuantity(f'"{quoted(text)}" is no {what}: it must not be negative')
    return value


def _assumed(message: str, hint: str) -> Problem:
    return report("assumed-input", message, hint=hint)
