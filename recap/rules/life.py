"""Life: what is wanted at this position, and what the original and a new part may be expected to give."""

from __future__ import annotations

from collections.abc import Iterable

from recap.formulas.life import ten_degree_rule
from recap.formulas.life_estimate import LifeConditions, LifePart, estimate_life
from recap.model import Basis, Input, Kind, LifeEstimate, Mounting, Relation, Specification
from recap.rules import reference
from recap.rules.case import Case
from recap.rules.rule import Outcome, Say, rule
from recap.units import hours, plain

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


def life_as_found(case: Case) -> LifeEstimate | None:
    """Estimate what the original gave when new: its marking, else the policy's assumed endurance."""
    marked = case.position.marked
    endurance = marked.endurance_h or case.policy.number("life", "assumed_endurance_h")
    temperature = marked.temperature_c or case.policy.number("life", "assumed_temperature_c")
    known = marked.endurance_h is not None and marked.temperature_c is not None
    if case.rated_voltage is None:
        return None
    return _estimate(
        case, endurance, temperature, case.rated_voltage.value, Basis.MARKED if known else Basis.ASSUMED
    )


def life_planned(case: Case, specification: Specification) -> LifeEstimate | None:
    """Estimate what a part that just meets the specification gives."""
    endurance, temperature = specification.endurance_h, specification.endurance_temperature_c
    if endurance is None or temperature is None:
        return None
    return _estimate(case, endurance, temperature, specification.rated_voltage_v, Basis.CALCULATED)


def _estimate(
    case: Case, endurance_h: float, temperature_c: float, rated_v: float, basis: Basis
) -> LifeEstimate | None:
    family = _FAMILIES.get(case.position.body.kind)
    if family is None:
        return None
    working = case.working_voltage
    part = LifePart(
        endurance_h=endurance_h,
        rated_temperature_c=temperature_c,
        rated_voltage_v=rated_v,
        family=family,
        style=_STYLES.get(case.position.body.mounting, "radial"),
    )
    conditions = LifeConditions(
        ambient_temperature_c=case.ambient.value,
        voltage_v=float("nan") if working is None else working.value,
    )
    found = estimate_life(part, conditions, reference.models_of_life(), keep_models=False).estimated_life_h
    return LifeEstimate(
        float(found.low), float(found.nominal), float(found.high),
        "ten-degree rule; low and high over the models of its family", basis,
    )  # fmt: skip
