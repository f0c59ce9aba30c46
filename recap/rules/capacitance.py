"""Capacitance: how far the value may move in its role, and which value of today to ask for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from recap.formulas.preferred import nearest_preferred, next_up_preferred
from recap.model import Basis, Input, Kind, Relation, Role
from recap.rules import reference
from recap.rules.case import AC_ROLES, Case
from recap.rules.given import Given
from recap.rules.inrush import switching_on
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import farads, plain

_CLOSE_ROLES = AC_ROLES | {Role.TIMING, Role.COUPLING, Role.MAINS_SAFETY, Role.UNKNOWN}
"""Roles in which a wide tolerance of the original is no licence to move."""
_CHARGED_AT_ONCE = (Role.PRIMARY_RESERVOIR, Role.RESERVOIR, Role.START_UP, Role.SWITCHER_OUTPUT)
_RESERVOIRS = (Role.PRIMARY_RESERVOIR, Role.RESERVOIR, Role.REGULATOR_INPUT)
_DRY_RECTIFIERS = ("silicon", "selenium")
_FILM = (Kind.FILM, Kind.PAPER, Kind.METALLISED_PAPER)
_CLOSE = 1e-9


def window(case: Case) -> tuple[float, float] | None:
    """Return the smallest and largest value that the role allows, in F; None without a value.

    Never lower than the original's own tolerance allowed; higher by what the role bears or that tolerance allowed.
    """
    given = case.capacitance
    if given is None:
        return None
    role = reference.role_window(case.role)
    minus, plus, _ = original_tolerance(case)
    down = min(role.down, abs(minus))
    up = min(role.up, plus) if case.role in _CLOSE_ROLES else max(role.up, plus)
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
    role = reference.role_window(case.role)
    if case.role is Role.UNKNOWN:
        yield say.missing("role (without it the window is the narrow general one)")
    basis = Basis.ASSUMED if case.role is Role.UNKNOWN else Basis.DOCUMENTED
    inputs = [given.input, original_tolerance(case)[2], Input("role", str(case.role), basis)]
    operation = f"window of the role and of the original's tolerance: {role.reason}"
    yield say.demand(
        "capacitance_f", Relation.AT_LEAST, low, "F", inputs, operation,
        f"capacitance at least {farads(low)}", source=role.source,
    )  # fmt: skip
    yield say.demand(
        "capacitance_f", Relation.AT_MOST, high, "F", inputs, operation,
        f"capacitance at most {farads(high)}", source=role.source,
    )  # fmt: skip
    if role.wish is not None:
        yield from _wish(say, given, role.wish, role.source)


def _wish(say: Say, given: Given, within: float, source: str) -> Iterable[Outcome]:
    """Yield the narrower band that a role wishes for; aluminium parts are hardly sold in it, film ones are."""
    for relation, value, word in (
        (Relation.AT_LEAST, given.value * (1 - within), "least"),
        (Relation.AT_MOST, given.value * (1 + within), "most"),
    ):
        yield say.demand(
            "capacitance_f", relation, value, "F", [given.input],
            f"within {plain(within * 100)} %: film, or a bipolar part selected by measuring",
            f"capacitance at {word} {farads(value)}", prefer=True, source=source,
        )  # fmt: skip


@rule("capacitance-ceiling", "No more than the charging circuit bears", "tube-suppliers-sheets", "capacitance")
def capacitance_ceiling(case: Case, say: Say) -> Iterable[Outcome]:
    """Switch-on stress grows with the value; a valve rectifier's data sheet sets a hard limit."""
    given = case.capacitance
    if case.role not in _CHARGED_AT_ONCE:
        return
    if given is None:
        yield say.missing("marked or documented capacitance")
        return
    if _valve_name(case):
        yield from _valve_ceiling(case, say)
        return
    role = reference.role_window(case.role)
    routine = given.value * (1 + role.routine_up)
    rush, inputs = switching_on(case, routine)
    yield say.demand(
        "capacitance_f", Relation.AT_MOST, routine, "F", [given.input, *inputs],
        f"switch-on stress grows with the value: {plain(role.routine_up * 100)} % more is routine, "
        f"beyond that check fuse, switch and rectifier{'; ' if rush else ''}{rush}",
        f"capacitance at most {farads(routine)}", prefer=True, source="our-judgement",
    )  # fmt: skip


def _valve_name(case: Case) -> str:
    """Return the valve rectifier that charges the position; empty where there is none or the role is another."""
    if case.rail is None or case.role not in _CHARGED_AT_ONCE:
        return ""
    name = case.rail.rectifier.strip()
    return "" if name.lower() in _DRY_RECTIFIERS else name


def _valve_limit(case: Case) -> float | None:
    """Return the largest value behind a valve rectifier in F: its data sheet's, never below the original."""
    name, given = _valve_name(case), case.capacitance
    if not name or given is None:
        return None
    valve = reference.valve_rectifier(name)
    return given.value if valve is None else max(valve.largest_f, given.value)


def _valve_ceiling(case: Case, say: Say) -> Iterable[Outcome]:
    name, given, limit = _valve_name(case), case.capacitance, _valve_limit(case)
    assert given is not None
    assert limit is not None
    valve = reference.valve_rectifier(name)
    seen, source = Input("rectifier", name, Basis.DOCUMENTED), "our-judgement"
    if valve is None:
        operation = "no data sheet limit is at hand for this valve: do not exceed the original"
    elif valve.largest_f >= given.value:
        operation, source = "largest first reservoir that the rectifier's data sheet allows", valve.source
    else:
        operation = f"the original is above the {farads(valve.largest_f)} of the data sheet: do not exceed it further"
        yield Note(
            f"The original {farads(given.value)} is above the {farads(valve.largest_f)} that data sheets allow "
            f"behind a {name} without extra plate resistance: check the winding's resistance."
        )
    yield say.demand(
        "capacitance_f", Relation.AT_MOST, limit, "F", [given.input, seen], operation,
        f"capacitance at most {farads(limit)}", source=source,
    )  # fmt: skip


@rule("capacitance-value", "The preferred value to ask for", "iec-60063", "capacitance")
def capacitance_value(case: Case, say: Say) -> Iterable[Outcome]:
    """Nearest or next-up value of E6, else of E12; a parallel pair where neither lies in the window."""
    limits, given = bounds(case), case.capacitance
    if limits is None or given is None:
        yield say.missing("marked or documented capacitance")
        return
    choice = preferred_value(case)
    if choice is not None:
        yield say.demand(
            "capacitance_f", Relation.EXACTLY, choice.value_f, "F", [given.input], choice.words(given.value),
            f"ask for {farads(choice.value_f)}", prefer=True,
        )  # fmt: skip
        return
    between = f"between {farads(limits[0])} and {farads(limits[1])}"
    half = equal_pair(case)
    if case.across_mains:
        yield Note(f"{farads(given.value)} is no preferred value: never more, and a little less only after asking.")
    elif half is None:
        yield Note(f"No preferred value lies {between}: select by measuring.")
    else:
        change = _percent(2 * half / given.value - 1)
        yield Note(
            f"No single preferred value lies {between}: "
            f"two of {farads(half)} in parallel give {farads(2 * half)} ({change})."
        )


@dataclass(frozen=True, slots=True)
class ValueChoice:
    """The value of a series that was chosen, with its two candidates."""

    value_f: float
    series: str
    nearest_f: float
    above_f: float
    upward: bool

    def words(self, old_f: float) -> str:
        """Return both candidates with their change in per cent, and why one was taken."""
        nearest, above = (f"{farads(v)} ({_percent(v / old_f - 1)})" for v in (self.nearest_f, self.above_f))
        found = f"nearest and next up {nearest}" if self.nearest_f == self.above_f else (
            f"nearest {nearest}, next up {above}"
        )  # fmt: skip
        wish = "up" if self.upward else "near"
        return f"{self.series}: {found}; this role looks {wish} first, within its limits"


def bounds(case: Case) -> tuple[float, float] | None:
    """Return the window with the valve rectifier's ceiling on it."""
    limits, ceiling = window(case), _valve_limit(case)
    if limits is None or ceiling is None:
        return limits
    return limits[0], min(limits[1], ceiling)


def preferred_value(case: Case) -> ValueChoice | None:
    """Return the preferred value to ask for: within what is routine if it can be, else within the bounds.

    Where the role looks up, a value above in any series goes before one below.
    """
    given = case.capacitance
    if given is None:
        return None
    upward = prefers_next_up(case)
    series = ("E6", "E12", "E24") if case.position.body.kind in _FILM else ("E6", "E12")
    for low, high in _ranges(case):
        found = [_candidates(given.value, name, upward) for name in series]
        firsts = [choice for pair in found for choice in pair[:1]] if upward else []
        for choice in (*firsts, *(choice for pair in found for choice in pair)):
            if _within(low, choice.value_f, high):
                return choice
    return None


def _candidates(old_f: float, series: str, upward: bool) -> tuple[ValueChoice, ValueChoice]:
    """Return the nearest and the next-up value of a series, the wanted one first."""
    nearest = nearest_preferred(old_f, reference.significands(series))
    above = next_up_preferred(old_f, reference.significands(series))
    first, second = (above, nearest) if upward else (nearest, above)
    return (
        ValueChoice(first, series, nearest, above, upward),
        ValueChoice(second, series, nearest, above, upward),
    )


def _ranges(case: Case) -> Iterator[tuple[float, float]]:
    limits, given = bounds(case), case.capacitance
    if limits is None or given is None:
        return
    low, high = limits
    if case.role in _CHARGED_AT_ONCE:
        routine = given.value * (1 + reference.role_window(case.role).routine_up)
        yield low, min(high, routine)
    yield low, high


def _within(low: float, value: float, high: float) -> bool:
    return low * (1 - _CLOSE) <= value <= high * (1 + _CLOSE)


def equal_pair(case: Case) -> float | None:
    """Return the E12 value of which two in parallel come nearest and lie in the bounds; never for mains parts."""
    limits, given = bounds(case), case.capacitance
    if limits is None or given is None or case.across_mains:
        return None
    half = nearest_preferred(given.value / 2, reference.significands("E12"))
    return half if _within(limits[0], 2 * half, limits[1]) else None


def prefers_next_up(case: Case) -> bool:
    """Return whether the role (or, for reservoirs, the policy) prefers the next value up to the nearest."""
    if case.role in _RESERVOIRS:
        return bool(case.policy.entries["capacitance"]["reservoir_value"] == "next-up")
    return reference.role_window(case.role).prefer == "next-up"


def _percent(fraction: float) -> str:
    return "no change" if abs(fraction) < 5e-4 else f"{fraction * 100:+.0f} %".replace("-", "−")
