"""A resistor that stands in for a rail's boards."""

from __future__ import annotations

from typing import Any

from recap.bench.constants import constant
from recap.bench.drawer import from_drawer, read_drawer
from recap.bench.resistors import body_with_margin
from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero, of_any_sign
from recap.formulas.dummy_load import load_power_w, load_resistance_ohm
from recap.formulas.preferred import next_down_preferred, next_up_preferred
from recap.problems import Problem
from recap.rules.reference import significands
from recap.units import NotAQuantity, plain, quoted, si, volts

LOAD_SERIES = "E24"
CAUTIONS = (
    "A dummy load runs hot enough to burn skin and bench: free air all round, metal or ceramic under it.",
    "An aluminium-clad resistor carries its rating only on the metal plate that its data sheet asks for; "
    "in free air it carries a fraction of it.",
    "Connect and disconnect it with the supply off and discharged.",
)


def load(rail: str, current: str, minimum: str | None = None, drawer: str | None = None) -> Answer:
    """Return the resistor for a rail's full load and, when asked, for its minimum load.

    With a list of resistors at hand such as "3 x 10ohm 5W", also what of them makes each load.

    The preferred resistor for the full load is the next one up in E24, so that no more than the asked current
    flows; for the minimum load it is the next one down, so that no less does.
    """
    rail_v = of_any_sign(rail, "volt", "rail")
    if rail_v == 0:
        raise NotAQuantity(f'"{quoted(rail)}" is no rail: it must differ from zero')
    full_a = above_zero(current, "ampere", "current")
    least_a = above_zero(minimum, "ampere", "minimum current") if minimum is not None else None
    if least_a is not None and least_a > full_a:
        raise NotAQuantity(f'the minimum "{quoted(minimum or "")}" is above the load "{quoted(current)}"')
    full = _resistor(rail_v, full_a, at_least=False)
    least = _resistor(rail_v, least_a, at_least=True) if least_a is not None else None
    lines = [_line("Load", rail_v, full_a, full)]
    if least is not None and least_a is not None:
        lines.append(_line("Minimum load", rail_v, least_a, least))
    if drawer:
        at_hand = read_drawer(drawer)
        full["drawer"] = from_drawer(rail_v, full_a, at_hand)
        lines.append(f"From the drawer for the load: {full['drawer']}.")
        if least is not None and least_a is not None:
            least["drawer"] = from_drawer(rail_v, least_a, at_hand, at_least=True)
            lines.append(f"From the drawer for the minimum load: {least['drawer']}.")
    lines.append(
        f"A filament lamp as a load draws {plain(constant('lamp_cold_ratio_low'))} to "
        f"{plain(constant('lamp_cold_ratio_high'))} times its current while cold: "
        "a supply that retries may never start into it."
    )
    problems = tuple(
        Problem(
            "resistor-too-small",
            f"no single resistor sold carries {si(each['power_w'], 'W')} with margin",
            hint="share it among several in series or parallel",
        )
        for each in (full, least)
        if each is not None and each["rating_w"] is None
    )
    result = {**full, "minimum": least}
    return Answer(result, tuple(lines), ("rome-toolkit-d1", "eseries-1.2.1", "common-practice"), CAUTIONS, problems)


def _resistor(rail_v: float, current_a: float, *, at_least: bool) -> dict[str, Any]:
    resistance = float(load_resistance_ohm(rail_v, current_a))
    choose = next_down_preferred if at_least else next_up_preferred
    preferred = choose(resistance, significands(LOAD_SERIES))
    hotter = min(resistance, preferred)
    power_w = float(load_power_w(rail_v, hotter))
    body = body_with_margin(power_w, abs(rail_v))
    return {
        "resistance_ohm": resistance,
        "preferred_ohm": preferred,
        "preferred_current_a": abs(rail_v) / preferred,
        "power_w": power_w,
        "rating_w": body.rating_w if body else None,
        "resistor_kind": body.kind if body else None,
    }


def _line(what: str, rail_v: float, current_a: float, found: dict[str, Any]) -> str:
    rating = "several resistors"
    if found["rating_w"] is not None:
        rating = f"{plain(found['rating_w'])} W {found['resistor_kind']} or more"
    return (
        f"{what} {si(current_a, 'A')} on {volts(rail_v)}: V/I = {si(found['resistance_ohm'], 'Ω')}, "
        f"take {si(found['preferred_ohm'], 'Ω')} ({LOAD_SERIES}, {si(found['preferred_current_a'], 'A')}); "
        f"{si(found['power_w'], 'W')}, so {rating}."
    )
