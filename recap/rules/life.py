"""Life: what is wanted at this position, and what the original and a new part may be expected to give."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from recap.formulas.life import ten_degree_rule
from recap.formulas.life_estimate import UNKNOWN, LifeConditions, LifePart, estimate_life
from recap.formulas.life_lines import Line
from recap.model import Basis, Input, Kind, LifeEstimate, Mounting, Relation, Specification
from recap.rules import reference
from recap.rules.case import Case
from recap.rules.circuit import RATING_HZ
from recap.rules.rule import Outcome, Say, rule, weakest
from recap.units import hours, plain, si

_FAMILIES = {
    Kind.WET_ALUMINIUM: "wet",
    Kind.NON_POLAR_ALUMINIUM: "wet",
    Kind.UNKNOWN: "wet",
    Kind.HYBRID: "hybrid",
    Kind.SOLID_POLYMER: "polymer",
}
_STYLES = {
    Mounting.AXIAL: "axial",
    Mounting.SMD_CAN: "smd",
    Mounting.SNAP_IN: "snap-in",
    Mounting.TWIST_LOCK: "snap-in",
    Mounting.SCREW: "screw",
}


@rule("life-wanted", "The estimated life reaches the years wanted", "rubycon-3925", "estimated life")
def life_wanted(case: Case, say: Say) -> Iterable[Outcome]:
    """Hours of use times years, and the endurance that gives it at the hottest air by the ten-degree rule."""
    if case.position.body.kind not in _FAMILIES:
        return
    wanted = case.hours_wanted
    yield say.demand(
        "estimated_life_h", Relation.AT_LEAST, wanted.value, "h", [wanted.input],
        "estimated life at this position, at the hottest air near the part",
        f"estimated life at least {hours(wanted.value)}",
    )  # fmt: skip
    category = case.policy.number("temperature", "preferred_category_c")
    air = max(case.ambient.value, reference.coolest_life_ambient_c())
    needed = wanted.value / float(ten_degree_rule(1.0, category, air))
    floor = case.policy.number("life", "preferred_endurance_h")
    if needed > floor:
        yield say.demand(
            "endurance_h", Relation.AT_LEAST, needed, "h", [wanted.input, case.ambient.input],
            f"ten-degree rule backwards from {plain(category)} °C",
            f"endurance at least {hours(needed)} at {plain(category)} °C", prefer=True,
        )  # fmt: skip
    else:
        yield say.demand(
            "endurance_h", Relation.AT_LEAST, floor, "h", [wanted.input, case.ambient.input],
            f"{hours(needed)} at {plain(category)} °C would do by the ten-degree rule; policy {case.policy.name} "
            f"asks for {hours(floor)}",
            f"endurance at least {hours(floor)} at {plain(category)} °C", prefer=True,
            source=case.policy.source("life", "preferred_endurance_source"),
        )  # fmt: skip


@rule("life-marked", "No less endurance than the original claimed", "common-practice", "endurance")
def life_marked(case: Case, say: Say) -> Iterable[Outcome]:
    """A part that claimed long endurance is not replaced by one that claims less, both at the same temperature."""
    marked, claimed_at = case.position.marked.endurance_h, case.category
    if case.position.body.kind not in _FAMILIES or (marked is None and claimed_at is None):
        return
    if marked is None or claimed_at is None:
        yield say.missing("marked temperature" if claimed_at is None else "marked endurance")
        return
    category = case.policy.number("temperature", "preferred_category_c")
    floor = float(ten_degree_rule(marked, claimed_at.value, category))
    same = claimed_at.value == category
    yield say.demand(
        "endurance_h", Relation.AT_LEAST, floor, "h",
        [Input("marked endurance", hours(marked), Basis.MARKED), claimed_at.input],
        "no less than the original claimed" + ("" if same else f"; ten-degree rule to {plain(category)} °C"),
        f"endurance at least {hours(floor)} at {plain(category)} °C", prefer=True,
    )  # fmt: skip


def ripple_of(case: Case) -> tuple[float, float] | tuple[None, None]:
    """Return the ripple current in A with its frequency in Hz: measured, else from the circuit."""
    measured = case.position.measured
    if measured.ripple_current_a is not None and measured.ripple_frequency_hz is not None:
        return measured.ripple_current_a, measured.ripple_frequency_hz
    found = case.circuit_ripple
    return (None, None) if found is None else (found.equivalent_a, RATING_HZ)


def life_as_found(case: Case) -> LifeEstimate | None:
    """Estimate what the original gave when new: its marking, else the policy's assumed endurance."""
    marked = case.position.marked
    endurance = marked.endurance_h or case.policy.number("life", "assumed_endurance_h")
    temperature = marked.temperature_c or case.policy.number("life", "assumed_temperature_c")
    known = marked.endurance_h is not None and marked.temperature_c is not None
    if case.rated_voltage is None:
        return None
    basis = Basis.MARKED if known else Basis.ASSUMED
    what = Input("endurance", f"{hours(endurance)} at {plain(temperature)} °C", basis)
    return _estimate(case, endurance, temperature, case.rated_voltage.value, what)


def life_planned(case: Case, specification: Specification) -> LifeEstimate | None:
    """Estimate what a part that just meets the specification gives."""
    endurance, temperature = specification.endurance_h, specification.endurance_temperature_c
    if endurance is None or temperature is None:
        return None
    what = Input("endurance asked for", f"{hours(endurance)} at {plain(temperature)} °C", Basis.CALCULATED)
    rated = specification.ripple_current_a, specification.ripple_frequency_hz
    return _estimate(case, endurance, temperature, specification.rated_voltage_v, what, rated)


def _estimate(
    case: Case,
    endurance_h: float,
    temperature_c: float,
    rated_v: float,
    endurance: Input,
    rated_ripple: tuple[float | None, float | None] = (None, None),
) -> LifeEstimate | None:
    """Estimate a life; ripple counts only where current and rating are known at the same frequency."""
    family = _FAMILIES.get(case.position.body.kind)
    if family is None:
        return None
    working, (current, frequency) = case.working_voltage, ripple_of(case)
    comparable = current is not None and rated_ripple[0] is not None and rated_ripple[1] == frequency
    part = LifePart(
        endurance_h=endurance_h,
        rated_temperature_c=temperature_c,
        rated_ripple_current_a=rated_ripple[0] if comparable and rated_ripple[0] else UNKNOWN,
        rated_voltage_v=rated_v,
        family=family,
        style=_STYLES.get(case.position.body.mounting, "radial"),
    )
    conditions = LifeConditions(
        ambient_temperature_c=case.ambient.value,
        ripple_current_a=current if comparable and current is not None else UNKNOWN,
        voltage_v=UNKNOWN if working is None else working.value,
    )
    found = estimate_life(part, conditions, reference.models_of_life())
    low, nominal, high = (float(getattr(found.estimated_life_h, name)) for name in ("low", "nominal", "high"))
    narrower = [] if case.ambient.basis is Basis.MEASURED else ["air temperature near the part, measured"]
    if not comparable:
        narrower.append("ripple current and the part's ripple rating at one frequency")
    inputs = [endurance, case.ambient.input]
    figures = [
        (_model_id(each.line, comparable, working is not None), each)
        for each in found.models
        if not np.isnan(each.life_h)
    ]
    if comparable and current is not None and frequency is not None:
        inputs.append(Input("ripple", f"{si(current, 'A')} at {si(frequency, 'Hz')}", Basis.CALCULATED))
    if working is not None and any(each.line.voltage_exponent is not None for _, each in figures):
        inputs.append(working.input)
    return LifeEstimate(
        low_h=low,
        nominal_h=nominal,
        high_h=high,
        model=next(name for name, each in figures if each.line.nominal),
        basis=weakest(item.basis for item in inputs),
        models=tuple(dict.fromkeys((name, float(each.life_h), each.line.sources[0]) for name, each in figures)),
        inputs=tuple(inputs),
        clamps=tuple(name for name, acted in found.clamps.items() if bool(acted)),
        narrower=tuple(narrower),
    )


def _model_id(line: Line, ripple_known: bool, voltage_known: bool) -> str:
    """Return a model's id with those of the ripple and voltage factors that counted."""
    ripple = line.ripple_id if ripple_known or not line.assumes_rated_ripple else ""
    return "+".join(filter(None, (line.id, ripple, line.voltage_id if voltage_known else "")))
