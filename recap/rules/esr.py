"""ESR: a ceiling from the original's dissipation factor and from the rail, a floor where a loop needs one."""

from __future__ import annotations

import math
from collections.abc import Iterable

from recap.formulas.switcher import flyback_peak_a
from recap.model import Basis, Input, Relation, Role, SupplyKind, Tristate
from recap.rules import new_parts
from recap.rules.case import RAIL_ROLES, SUPPLY_ROLES, Case
from recap.rules.rule import Outcome, Say, rule
from recap.units import plain, si


@rule("esr-ceiling", "No more ESR than a new original", "panasonic-su", "ESR")
def esr_ceiling(case: Case, say: Say) -> Iterable[Outcome]:
    """The dissipation factor of a general-purpose part of this value and rating sets the ceiling at 120 Hz.

    Behind a switching supply it is a wish, since the ESR at 100 kHz decides there (esr-switching).
    """
    if case.position.role not in RAIL_ROLES:
        return
    ceiling = case.esr_ceiling
    if ceiling is None or case.capacitance is None or case.rated_voltage is None:
        yield say.missing(*lacking_for_ceiling(case))
        return
    low = new_parts.frequency_band("low").frequency_hz
    series = new_parts.esr_series(case.position.body.mounting, case.position.body.kind)
    yield say.demand(
        "esr_ohm", Relation.AT_MOST, ceiling.value, "Ω", [case.capacitance.input, case.rated_voltage.input],
        "tan δ / (2π·f·C) with the largest tan δ of a general-purpose part of its form",
        f"ESR at most {si(ceiling.value, 'Ω')} at {si(low, 'Hz')} and 20 °C",
        prefer=case.switched or case.position.role not in SUPPLY_ROLES, source=series, frequency_hz=low,
    )  # fmt: skip


def lacking_for_ceiling(case: Case) -> list[str]:
    """Return by name what stands between a position and its ESR ceiling."""
    if not case.has_loss_table:
        return [f"ESR of a new {case.position.body.kind} part, from its data sheet"]
    found = {"capacitance of the original": case.capacitance, "volts of the original": case.rated_voltage}
    return [name for name, value in found.items() if value is None]


_TRIANGLE = "a triangular current has √12 times its rms from peak to peak; limit / that"
_CUT_OFF = (
    "a flyback's current is cut off from its peak, which is (ripple² + load²)/load at least and half as much again "
    "where it falls to nothing; limit / the least"
)


@rule("esr-rail", "ESR within the rail's ripple limit", "microchip-smps", "ESR")
def esr_rail(case: Case, say: Say) -> Iterable[Outcome]:
    """In a switcher's output the ripple voltage is mostly ripple current times ESR; a flyback's is cut off."""
    if case.position.role is not Role.SWITCHER_OUTPUT:
        return
    rail, measured = case.rail, case.position.measured
    limit = rail.ripple_limit_v if rail is not None else None
    lacking = []
    if limit is None:
        lacking.append("rail's ripple limit")
    if measured.ripple_current_a is None:
        lacking.append("ripple current measured")
    if measured.ripple_frequency_hz is None:
        lacking.append("frequency of the ripple current")
    flyback, load_a = rail is not None and rail.supply is SupplyKind.FLYBACK, rail.full_load_a if rail else None
    if flyback and not load_a:
        lacking.append("full load of the flyback's rail")
    if lacking or limit is None or measured.ripple_current_a is None or measured.ripple_frequency_hz is None:
        yield say.missing(*lacking)
        return
    peak_to_peak, how = measured.ripple_current_a * math.sqrt(12), _TRIANGLE
    inputs = [
        Input("rail's ripple limit", f"{si(limit, 'V')} p-p", Basis.DOCUMENTED),
        Input("ripple current", f"{si(measured.ripple_current_a, 'A')} rms", Basis.MEASURED),
    ]
    if flyback and load_a:
        peak_to_peak, how = float(flyback_peak_a(measured.ripple_current_a, load_a)[0]), _CUT_OFF
        inputs.append(Input("full load", si(load_a, "A"), Basis.DOCUMENTED))
    if not peak_to_peak:
        return
    ceiling = limit / peak_to_peak
    yield say.demand(
        "esr_ohm", Relation.AT_MOST, ceiling, "Ω", inputs, how,
        f"ESR at most {si(ceiling, 'Ω')} at {si(measured.ripple_frequency_hz, 'Hz')} and 20 °C",
        frequency_hz=measured.ripple_frequency_hz,
    )  # fmt: skip
    high = new_parts.frequency_band("high")
    if high.holds(measured.ripple_frequency_hz) and measured.ripple_frequency_hz < high.frequency_hz:
        at = si(high.frequency_hz, "Hz")
        yield say.demand(
            "esr_ohm", Relation.AT_MOST, ceiling, "Ω", inputs,
            f"ESR does not rise with frequency: what is too much at {at} is too much below it",
            f"ESR at most {si(ceiling, 'Ω')} at {at} and 20 °C", frequency_hz=high.frequency_hz,
        )  # fmt: skip


@rule("esr-switching", "ESR stated where the supply switches", "common-practice", "ESR")
def esr_switching(case: Case, say: Say) -> Iterable[Outcome]:
    """Behind a switching supply the ESR at 100 kHz counts; a part without it there may be a general-purpose one."""
    if not case.switched:
        return
    ceiling = case.esr_ceiling
    if ceiling is None:
        yield say.missing(*lacking_for_ceiling(case))
        return
    share, at = new_parts.high_frequency_share(), new_parts.frequency_band("high").frequency_hz
    yield say.demand(
        "esr_ohm", Relation.AT_MOST, ceiling.value, "Ω", [ceiling.input],
        f"ESR does not rise with frequency, and only its figure at {si(at, 'Hz')} tells a low-impedance part",
        f"ESR at most {si(ceiling.value, 'Ω')}, stated at {si(at, 'Hz')} and 20 °C", frequency_hz=at,
    )  # fmt: skip
    wanted = ceiling.value * share
    yield say.demand(
        "esr_ohm", Relation.AT_MOST, wanted, "Ω", [ceiling.input],
        f"good parts show about {plain(share * 100, 2)} % of it at {si(at, 'Hz')}",
        f"ESR at most {si(wanted, 'Ω')} at {si(at, 'Hz')} and 20 °C", prefer=True, frequency_hz=at,
    )  # fmt: skip


@rule("esr-floor", "Not too little ESR where a loop counts on it", "lm2940-lm3940", "ESR")
def esr_floor(case: Case, say: Say) -> Iterable[Outcome]:
    """A regulator that needs ESR gets its window; an unknown one, or a switcher's loop, makes us ask."""
    if case.position.role is Role.REGULATOR_OUTPUT:
        yield from _regulator_floor(case, say)
    elif case.position.role is Role.SWITCHER_OUTPUT:
        yield from _switcher_floor(case, say)


def _switcher_floor(case: Case, say: Say) -> Iterable[Outcome]:
    ceiling = case.esr_ceiling
    if ceiling is None:
        yield say.missing(*lacking_for_ceiling(case))
        return
    share, at = new_parts.high_frequency_share(), new_parts.frequency_band("high").frequency_hz
    fraction = case.policy.number("esr", "ask_below_fraction")
    estimate = ceiling.value * share
    floor = estimate * fraction
    yield say.demand(
        "esr_ohm", Relation.AT_LEAST, floor, "Ω", [ceiling.input],
        f"good parts show about {plain(share * 100, 2)} % of it at {si(at, 'Hz')}, {si(estimate, 'Ω')}; below "
        f"{plain(fraction * 100)} % of that the loop may ring: ask",
        f"ESR at least {si(floor, 'Ω')} at {si(at, 'Hz')} and 20 °C, or ask", prefer=True,
        source=case.policy.source("esr", "ask_below_source"), frequency_hz=at,
    )  # fmt: skip


def _regulator_floor(case: Case, say: Say) -> Iterable[Outcome]:
    low, high, source = new_parts.esr_window()
    at = new_parts.frequency_band("high").frequency_hz
    if case.esr_sensitive is Tristate.NO:
        return
    if case.esr_sensitive is Tristate.UNKNOWN:
        yield say.missing("whether the regulator is sensitive to ESR")
    certain = case.esr_sensitive is Tristate.YES
    seen = Input("regulator sensitive to ESR", str(case.esr_sensitive), Basis.DOCUMENTED if certain else Basis.ASSUMED)
    ask = "" if certain else ", or ask"
    for relation, value, word in ((Relation.AT_LEAST, low, "least"), (Relation.AT_MOST, high, "most")):
        yield say.demand(
            "esr_ohm", relation, value, "Ω", [seen],
            "low-dropout regulators are stable within a window of ESR only; the data sheet decides",
            f"ESR at {word} {si(value, 'Ω')} at {si(at, 'Hz')} and 20 °C{ask}", prefer=not certain,
            source=source, frequency_hz=at,
        )  # fmt: skip
