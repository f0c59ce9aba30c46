"""Output capacitor of a switch-mode supply."""

from __future__ import annotations

import math

from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero, capacitance_f, of_any_sign
from recap.calculators.ripple_mains import CHARGE_CAUTION
from recap.formulas.switcher import FilterRipple, flyback_output, inductor_output
from recap.problem_codes import report
from recap.problems import Problem
from recap.rules.rectifiers import assumption
from recap.units import NotAQuantity, farads, plain, quoted, si, volts

SWITCHERS = ("buck", "forward", "half-bridge", "flyback")
PROBE_CAUTION = (
    "Only the isolated output is meant here: the primary side is live mains and its reservoir stays charged. Leave "
    "it to those licensed for it, under local codes."
)
ESR_CAUTION = "Use the ESR at the switching frequency; a 100 Hz figure overstates it, and leads add spikes on top."


def switched_ripple(
    supply: str,
    *,
    switching: str = "",
    duty: str | None = None,
    output: str = "",
    load: str = "",
    capacitance: str = "",
    esr: str = "",
    inductor_ripple: str | None = None,
    peak_current: str | None = None,
    valley_current: str | None = None,
    conduction: str | None = None,
) -> Answer:
    """Return the ripple of a switcher's output capacitor; texts with units."""
    needed = {"switching": switching, "output": output, "load": load, "capacitance": capacitance, "esr": esr}
    missing = [f"--{name}" for name, text in needed.items() if not text]
    if missing:
        raise NotAQuantity(f"a {supply} supply needs {', '.join(missing)} too")
    hertz = above_zero(switching, "hertz", "switching frequency")
    output_v = of_any_sign(output, "volt", "output voltage")
    load_a = above_zero(load, "ampere", "load current")
    value_f = capacitance_f(capacitance)
    esr_ohm = of_any_sign(esr, "ohm", "ESR")
    if esr_ohm < 0:
        raise NotAQuantity(f'"{quoted(esr)}" is no ESR: it must not be negative')
    duty_share = _share(duty, "duty") if duty is not None else None
    if supply == "flyback":
        if inductor_ripple is not None:
            raise NotAQuantity("--inductor-ripple does not belong to a flyback supply; give --peak-current")
        found, peak_a, text, problems = _flyback(
            hertz, load_a, value_f, esr_ohm, duty_share, peak_current, valley_current, conduction
        )
        ripple_hz, source = hertz, "power-integrations-an16"
    else:
        foreign = {"peak-current": peak_current, "valley-current": valley_current, "conduction": conduction}
        wrong = [f"--{name}" for name, each in foreign.items() if each is not None]
        if wrong:
            raise NotAQuantity(f"{', '.join(wrong)} does not belong to a {supply} supply; give --inductor-ripple")
        found, peak_a, text, problems = _inductor(supply, hertz, load_a, value_f, esr_ohm, duty_share, inductor_ripple)
        ripple_hz, source = hertz * (2 if supply == "half-bridge" else 1), "microchip-smps"
    result = {
        "dc_v": output_v,
        "ripple_vpp": float(found.ripple_vpp),
        "ripple_current_a": float(found.ripple_current_a),
        "peak_capacitor_current_a": float(found.peak_capacitor_current_a),
        "peak_diode_current_a": peak_a,
        "ripple_frequency_hz": ripple_hz,
        "conduction_angle_deg": None,
        "harmonics_a": [float(each) for each in found.harmonics_a],
    }
    lines = (
        f"{supply.capitalize()}, {volts(output_v)} {si(load_a, 'A')}, {text}, "
        f"{farads(value_f)} with {si(esr_ohm, 'Ω')}:",
        f"  ripple {si(float(found.ripple_vpp), 'V')} p-p at {si(ripple_hz, 'Hz')}, "
        "ESR and capacitance in their true phase",
        f"  capacitor {si(float(found.ripple_current_a), 'A')} rms, "
        f"peak {si(float(found.peak_capacitor_current_a), 'A')}; "
        f"rectifier peak {si(peak_a, 'A')}",
        f"  harmonics of {si(ripple_hz, 'Hz')}, rms: " + ", ".join(si(float(each), "A") for each in found.harmonics_a),
    )
    cautions = [PROBE_CAUTION, ESR_CAUTION]
    if abs(output_v) > assumption("touch_voltage_dc"):
        cautions.insert(0, CHARGE_CAUTION)
    return Answer(result, lines, (source,), tuple(cautions), problems)


Found = tuple[FilterRipple, float, str, tuple[Problem, ...]]


def _inductor(
    supply: str, hertz: float, load_a: float, value_f: float, esr_ohm: float, duty: float | None, ripple: str | None
) -> Found:
    if ripple is None or duty is None:
        raise NotAQuantity(f"a {supply} supply needs --inductor-ripple 1A (peak to peak) and --duty 0.42")
    ripple_a = above_zero(ripple, "ampere", "inductor ripple")
    pulses = 2 if supply == "half-bridge" else 1
    rising = duty * pulses
    problems: tuple[Problem, ...] = ()
    if rising >= 1:
        rising = duty
        message = (
            f"a switch of a half-bridge conducts for less than half the period: {plain(duty)} is read as of half of it"
        )
        problems = (report("duty-of-half-period", message),)
    if ripple_a > 2 * load_a:
        message = (
            "the inductor runs dry: its ripple is more than twice the load; the triangle assumed here no longer holds"
        )
        problems += (report("inductor-runs-dry", message, hint="raise the load or measure the ripple"),)
    found = inductor_output(ripple_a, hertz * pulses, rising, value_f, esr_ohm)
    text = f"inductor ripple {si(ripple_a, 'A')} p-p, duty {plain(duty)} at {si(hertz, 'Hz')}"
    return found, load_a + ripple_a / 2, text, problems


def _flyback(
    hertz: float,
    load_a: float,
    value_f: float,
    esr_ohm: float,
    duty: float | None,
    peak: str | None,
    valley: str | None,
    conduction: str | None,
) -> Found:
    """Complete the secondary's trapezoid by the balance of charge: (peak + valley)/2 · conduction = load."""
    if peak is None:
        raise NotAQuantity("a flyback supply needs --peak-current 6A, of the secondary")
    peak_a = above_zero(peak, "ampere", "peak current")
    valley_a = of_any_sign(valley, "ampere", "valley current") if valley is not None else None
    if valley_a is not None and not 0 <= valley_a <= peak_a:
        raise NotAQuantity(f'"{quoted(valley or "")}" is no valley current: it lies between zero and the peak')
    share = _share(conduction, "conduction") if conduction is not None else None
    if share is None:
        share = 2 * load_a / (peak_a + (valley_a or 0.0))
        if valley_a is None and duty is not None and share > 1 - duty:
            share = 1 - duty
    if valley_a is None:
        valley_a = min(max(2 * load_a / share - peak_a, 0.0), peak_a)
    if share > 1:
        raise NotAQuantity(f"the secondary's mean cannot reach the load of {si(load_a, 'A')} with this peak and valley")
    mean_a = (peak_a + valley_a) / 2 * share
    problems: tuple[Problem, ...] = ()
    if not math.isclose(mean_a, load_a, rel_tol=assumption("duty_tolerance")):
        message = f"peak, valley and conduction make a mean of {si(mean_a, 'A')}, yet the load is {si(load_a, 'A')}"
        hint = "the capacitor's figures follow the waveform; leave one of the three away to have it worked out"
        problems = (report("waveform-contradicts-load", message, hint=hint),)
    found = flyback_output(peak_a, valley_a, share, hertz, value_f, esr_ohm)
    fall = f"{si(peak_a, 'A')} falling to {si(valley_a, 'A')}"
    text = f"secondary {fall} in {plain(share)} of the period at {si(hertz, 'Hz')}"
    return found, peak_a, text, problems


def _share(text: str, what: str) -> float:
    """Return a fraction of the period, written as 0.42 or 42 %."""
    value = of_any_sign(text, "dimensionless", what)
    if not 0 < value < 1:
        raise NotAQuantity(f'"{quoted(text)}" is no {what}: a fraction of the period between 0 and 1')
    return value
