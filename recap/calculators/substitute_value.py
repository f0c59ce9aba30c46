"""Today's values for an old one: preferred values, ratings, and two parts for one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from recap.bench.constants import constant
from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero, capacitance_f
from recap.formulas.leakage import leakage_limit_a
from recap.formulas.preferred import (
    balancing_resistor_ohm,
    best_sum_pair,
    in_parallel_f,
    in_series_f,
    nearest_preferred,
    next_rating,
    next_up_preferred,
)
from recap.model import Role
from recap.problems import Problem
from recap.ruledata import table
from recap.rules.reference import RoleWindow, common_ratings, renamed_rating, role_window, significands
from recap.units import farads, plain, si, volts

SERIES = ("E3", "E6", "E12")  # from the most to the least commonly sold
PAIR_SERIES = "E6"
SMALLEST_SHARE = 0.1  # our judgement: a smaller partner is not worth its place
ROLES = tuple(str(role) for role in Role)
CAUTIONS = (
    "Never below the old rating. The fitted part may itself be an earlier change: look for the documents.",
    "More capacitance raises the switch-on stress on rectifier, fuse and switch in proportion; a valve rectifier's "
    "data sheet sets a largest first capacitor.",
    "Mains safety parts are replaced by the same class and value only, never by an electrolytic.",
)


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to make the value: a single part, or two equal or unequal ones."""

    parts_f: tuple[float, ...]
    series: str
    arrangement: str = "single"

    @property
    def capacitance_f(self) -> float:
        """What the arrangement makes."""
        return (in_series_f if self.arrangement == "series" else in_parallel_f)(*self.parts_f)


def substitute_value(capacitance: str, voltage: str | None = None, role: str | None = None) -> Answer:
    """Return today's values for an old one; with a role, only those within its window, best first."""
    old_f = capacitance_f(capacitance)
    old_v = above_zero(voltage, "volt", "rated voltage") if voltage is not None else None
    window = role_window(Role(role)) if role else None
    safety = window is not None and role == Role.MAINS_SAFETY
    rated_v = None if safety else _rating(old_v)
    singles = _singles(old_f)
    choices = [*singles]
    if not safety:
        choices += _parallel_pairs(old_f, singles)
        if old_v is not None and old_v > max(common_ratings()):
            choices += _series_pairs(old_f)
    options = [_option(choice, old_f, old_v, rated_v) for choice in choices]
    options = [each for each in options if window is None or _fits(window, each["change_pct"])]
    options.sort(key=lambda each: _rank(window, each))
    lines = [
        f"{farads(old_f)}{f' {volts(old_v)}' if old_v else ''}"
        + (f", {role}: {_window_text(window)}; {window.reason}." if window else ", nearest first:"),
        *(_line(each) for each in options),
        *([] if safety else _voltage_lines(old_v, rated_v)),
    ]
    if not window:
        lines.append("Give --role to see only what its circuit takes.")
    sources = ["eseries-1.2.1", "panasonic-radial-part-numbers", *([window.source] if window else [])]
    return Answer(
        {"options": options}, tuple(lines), tuple(sources), CAUTIONS, _problems(options, old_v, rated_v, safety)
    )


def _rating(old_v: float | None) -> float | None:
    """Return the rating to buy: a common one that suffices, else any sold, else none."""
    if old_v is None:
        return None
    return next_rating(old_v, common_ratings()) or next_rating(old_v, _all_ratings())


def _all_ratings() -> tuple[float, ...]:
    return tuple(float(row["rated_voltage_v"]) for row in table("rated_voltages"))


def _singles(old_f: float) -> list[Choice]:
    """Return nearest and next-up values of each series, each value once under its most common series."""
    found: dict[float, str] = {}
    for series in SERIES:
        values = significands(series)
        found.setdefault(nearest_preferred(old_f, values), series)
        found.setdefault(next_up_preferred(old_f, values), series)
    return [Choice((value,), series) for value, series in found.items()]


def _parallel_pairs(old_f: float, singles: Iterable[Choice]) -> Iterable[Choice]:
    """Return two equal parts, which share ripple evenly, and a pair that comes nearer than any single part."""
    values = significands(PAIR_SERIES)
    equal = (nearest_preferred(old_f / 2, values),) * 2
    closest = best_sum_pair(old_f, values, SMALLEST_SHARE)
    nearest_f = min(abs(single.capacitance_f - old_f) for single in singles)
    pairs = [equal]
    if closest != equal and abs(in_parallel_f(*closest) - old_f) < nearest_f * (1 - 1e-6):
        pairs.append(closest)
    return [Choice(pair, PAIR_SERIES, "parallel") for pair in pairs]


def _series_pairs(old_f: float) -> Iterable[Choice]:
    """Return two equal parts in series, for voltages above those commonly sold."""
    values = significands(PAIR_SERIES)
    found = dict.fromkeys((nearest_preferred(2 * old_f, values), next_up_preferred(2 * old_f, values)))
    return [Choice((value, value), PAIR_SERIES, "series") for value in found]


def _option(choice: Choice, old_f: float, old_v: float | None, rated_v: float | None) -> dict[str, Any]:
    option: dict[str, Any] = {
        "capacitance_f": choice.capacitance_f,
        "change_pct": 100 * (choice.capacitance_f / old_f - 1),
        "rated_voltage_v": rated_v,
        "series": choice.series,
        "arrangement": choice.arrangement,
        "parts_f": list(choice.parts_f),
        "balancing_resistor_ohm": None,
    }
    if choice.arrangement == "series" and old_v is not None:
        each_v = next_rating(old_v / 2 * (1 + 1e-6), common_ratings())
        option["rated_voltage_v"] = each_v
        if each_v is not None:
            option["balancing_resistor_ohm"] = _balancing_ohm(choice.parts_f[0], each_v, old_v)
    option["fits_roles"] = [
        str(each) for each in Role if each is not Role.MAINS_SAFETY and _fits(role_window(each), option["change_pct"])
    ]
    return option


def _balancing_ohm(part_f: float, each_v: float, bus_v: float) -> float:
    leakage_a = float(leakage_limit_a(part_f, each_v, constant("reform_leakage_factor_per_s")))
    return balancing_resistor_ohm(each_v, bus_v, leakage_a)


def _fits(window: RoleWindow, change_pct: float) -> bool:
    return -100 * window.down - 1e-6 <= change_pct <= 100 * window.up + 1e-6


def _rank(window: RoleWindow | None, option: dict[str, Any]) -> tuple[bool, bool, float]:
    """Single parts first; for next-up roles those not below the old value; then the smaller change."""
    below = window is not None and window.prefer == "next-up" and option["change_pct"] < -1e-6
    return option["arrangement"] != "single", below, abs(option["change_pct"])


def _window_text(window: RoleWindow) -> str:
    if window.down == window.up == 0:
        return "the same value"
    text = f"−{plain(100 * window.down)} to +{plain(100 * window.up)} %"
    return (
        text if window.routine_up == window.up else f"{text}, beyond +{plain(100 * window.routine_up)} % with a check"
    )


def _line(option: dict[str, Any]) -> str:
    parts = {"single": "", "parallel": " in parallel", "series": " in series"}[option["arrangement"]]
    made = " + ".join(farads(each) for each in option["parts_f"])
    total = f" = {farads(option['capacitance_f'])}" if parts else ""
    rated = f", {volts(option['rated_voltage_v'])}{' each' if parts else ''}" if option["rated_voltage_v"] else ""
    balance = option["balancing_resistor_ohm"]
    across = f", at most {si(balance, 'Ω')} across each" if balance else ""
    return f"  {made}{parts}{total}: {option['change_pct']:+.1f} %, {option['series']}{rated}{across}"


def _voltage_lines(old_v: float | None, rated_v: float | None) -> Iterable[str]:
    if old_v is None:
        return
    least = next_rating(old_v, _all_ratings())
    if least is not None and rated_v is not None and least < rated_v:
        yield f"{volts(least)} would do and is less commonly sold."
    today = renamed_rating(old_v)
    if today is not None:
        yield f"{volts(old_v)} is sold as {volts(today)} today; only where at most 90 % of that is measured."


def _problems(
    options: list[dict[str, Any]], old_v: float | None, rated_v: float | None, safety: bool
) -> tuple[Problem, ...]:
    found = []
    if safety:
        message = "a mains safety part is chosen by class and AC rating, which this sum does not do"
        hint = "same value; same or higher class: Y may stand for X, never X for Y"
        found.append(Problem("mains-safety", message, hint=hint))
    if not options:
        message = "no preferred value or pair lies within the role's window"
        hint = "look for the exact value, or settle the position's role"
        found.append(Problem("no-substitute", message, hint=hint))
    if old_v is not None and rated_v is None and not safety:
        message = f"no single electrolytic is sold for {volts(old_v)}"
        found.append(Problem("no-such-rating", message, hint="use a balanced series pair or a film part"))
    return tuple(found)
