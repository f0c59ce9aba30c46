"""Capacitance: how far the value may move in its role, and which value of today to ask for."""

from __future__ import annotations

from collections.abc import Iterable

from recap.formulas.preferred import nearest_preferred, next_up_preferred
from recap.model import Basis, Input, Relation, Role
from recap.rules import reference
from recap.rules.case import AC_ROLES, Case
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import farads, plain

_CLOSE_ROLES = AC_ROLES | {Role.TIMING, Role.MAINS_SAFETY}
_CHARGED_AT_ONCE = (Role.PRIMARY_RESERVOIR, Role.RESERVOIR, Role.START_UP, Role.SWITCHER_OUTPUT)
_RESERVOIRS = (Role.PRIMARY_RESERVOIR, Role.RESERVOIR, Role.REGULATOR_INPUT)


def window(case: Case) -> tuple[float, float] | None:
    """Return the smallest and largest value that the role allows, in F; None without a value."""
    given = case.capacitance
    if given is None:
        return None
    role = reference.role_window(case.position.role)
    down, up = role.down, role.up
    minus, plus, _ = original_tolerance(case)
    if case.position.role in _CLOSE_ROLES:
        down, up = min(down, abs(minus)), min(up, plus)
    else:
        up = max(up, plus)
    return given.value * (1 - down), given.value * (1 + up)


def original_tolerance(case: Case) -> tuple[float, float, Input]:
    """Return the original's tolerance as signed fractions: the marked one, else that of its era."""
    marked = case.position.marked.tolerance
    if marked is not None:
        return (*marked, Input("tolerance", _band(*marked), Basis.MARKED))
    minus, plus = reference.era_tolerance(case.family, case.year.value if case.year else None)
    return minus, plus, Input("tolerance usual in its era", _band(minus, plus), Basis.ASSUMED)


def _band(minus: float, plus: float) -> str:
    return f"{plain(minus * 100)}/+{plain(plus * 100)} %".replace("-", "−")


@rule("capacitance-window", "The value stays within its role's window", "common-practice", "capacitance")
def capacitance_window(case: Case, say: Say) -> Iterable[Outcome]:
    """Down by what the role bears, up by what the role bears or the original's own tolerance allowed."""
    limits, given = window(case), case.capacitance
    if limits is None or given is None:
        yield say.missing("marked or documented capacitance")
        return
    low, high = limits
    role = reference.role_window(case.position.role)
    if case.position.role is Role.UNKNOWN:
        yield say.missing("role (without it the window is the narrow general one)")
    basis = Basis.ASSUMED if case.position.role is Role.UNKNOWN else Basis.DOCUMENTED
    inputs = [given.input, original_tolerance(case)[2], Input("role", str(case.position.role), basis)]
    operation = f"window of the role: {role.reason}"
    yield say.demand(
        "capacitance_f", Relation.AT_LEAST, low, "F", inputs, operation,
        f"capacitance at least {farads(low)}", source=role.source,
    )  # fmt: skip
    yield say.demand(
        "capacitance_f", Relation.AT_MOST, high, "F", inputs, operation,
        f"capacitance at most {farads(high)}", source=role.source,
    )  # fmt: skip


@rule("capacitance-ceiling", "No more than the charging circuit bears", "tube-suppliers-sheets", "capacitance")
def capacitance_ceiling(case: Case, say: Say) -> Iterable[Outcome]:
    """Switch-on stress grows with the value; a valve rectifier's data sheet sets a hard limit."""
    given, rail = case.capacitance, case.rail
    if given is None or case.position.role not in _CHARGED_AT_ONCE:
        return
    rectifier = rail.rectifier.strip() if rail is not None else ""
    if rectifier and rectifier.lower() not in ("silicon", "selenium"):
        valve = reference.valve_rectifier(rectifier)
        seen = Input("rectifier", rectifier, Basis.DOCUMENTED)
        if valve is None:
            yield say.demand(
                "capacitance_f", Relation.AT_MOST, given.value, "F", [given.input, seen],
                "no data sheet limit is at hand for this valve: do not exceed the original",
                f"capacitance at most {farads(given.value)}", source="our-judgement",
            )  # fmt: skip
        elif valve.largest_f >= given.value:
            yield say.demand(
                "capacitance_f", Relation.AT_MOST, valve.largest_f, "F", [seen],
                "largest first reservoir that the rectifier's data sheet allows",
                f"capacitance at most {farads(valve.largest_f)}", source=valve.source,
            )  # fmt: skip
        else:
            yield Note(
                f"The original {farads(given.value)} is above the {farads(valve.largest_f)} that data sheets allow "
                f"behind a {rectifier} without extra plate resistance: check the winding's resistance."
            )
        return
    role = reference.role_window(case.position.role)
    routine = given.value * (1 + role.routine_up)
    yield say.demand(
        "capacitance_f", Relation.AT_MOST, routine, "F", [given.input],
        f"switch-on stress grows with the value: {plain(role.routine_up * 100)} % more is routine, "
        "beyond that check fuse, switch and rectifier",
        f"capacitance at most {farads(routine)}", prefer=True, source=role.source,
    )  # fmt: skip


@rule("capacitance-value", "The preferred value to ask for", "iec-60063", "capacitance")
def capacitance_value(case: Case, say: Say) -> Iterable[Outcome]:
    """Nearest or next-up value of E6, else of E12; a parallel pair where neither lies in the window."""
    limits, given = window(case), case.capacitance
    if limits is None or given is None or case.position.role is Role.MAINS_SAFETY:
        return
    low, high = limits
    upward = prefers_next_up(case)
    for series in ("E6", "E12"):
        nearest = nearest_preferred(given.value, reference.significands(series))
        above = next_up_preferred(given.value, reference.significands(series))
        for value in (above, nearest) if upward else (nearest, above):
            if low * (1 - 1e-9) <= value <= high * (1 + 1e-9):
                yield _ask_for(say, case, value, series)
                return
    half = equal_pair(case)
    if half is None:
        yield Note(f"No preferred value lies between {farads(low)} and {farads(high)}: select by measuring.")
    else:
        change = _percent(2 * half / given.value - 1)
        yield Note(
            f"No single preferred value lies between {farads(low)} and {farads(high)}: "
            f"two of {farads(half)} in parallel give {farads(2 * half)} ({change})."
        )


def equal_pair(case: Case) -> float | None:
    """Return the E12 value of which two in parallel come nearest and lie in the window, in F."""
    limits, given = window(case), case.capacitance
    if limits is None or given is None:
        return None
    half = nearest_preferred(given.value / 2, reference.significands("E12"))
    return half if limits[0] * (1 - 1e-9) <= 2 * half <= limits[1] * (1 + 1e-9) else None


def prefers_next_up(case: Case) -> bool:
    """Return whether the role (or, for reservoirs, the policy) prefers the next value up to the nearest."""
    if case.position.role in _RESERVOIRS:
        return bool(case.policy.entries["capacitance"]["reservoir_value"] == "next-up")
    return reference.role_window(case.position.role).prefer == "next-up"


def _ask_for(say: Say, case: Case, value: float, series: str) -> Outcome:
    given = case.capacitance
    assert given is not None
    change = value / given.value - 1
    how = "next value up" if prefers_next_up(case) and change >= 0 else "nearest value"
    return say.demand(
        "capacitance_f", Relation.EXACTLY, value, "F", [given.input],
        f"{how} in {series} ({_percent(change)})", f"ask for {farads(value)}", prefer=True,
    )  # fmt: skip


def _percent(fraction: float) -> str:
    return "no change" if abs(fraction) < 5e-4 else f"{fraction * 100:+.0f} %".replace("-", "−")
