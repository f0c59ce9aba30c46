"""Which of the parts that stay are reformed, and how; out of the circuit, and wet aluminium only."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from recap.bench.reform import History, accept_leakage_a, reform_plan
from recap.model import Decision, Judgement, Kind, Position, PositionKey, Role
from recap.model.bench import ReformJob, ReformStage

_KEPT = {Decision.KEEP, Decision.MEASURE}
_RESERVOIRS = {Role.RESERVOIR, Role.PRIMARY_RESERVOIR}


def reform_jobs(
    judgements: Iterable[Judgement],
) -> tuple[tuple[ReformJob, ...], tuple[tuple[PositionKey, str], ...]]:
    """Return the jobs, and the positions that would be reformed but cannot be, with why."""
    jobs, left = [], []
    for judgement in judgements:
        if not _wanted(judgement):
            continue
        found = _job(judgement)
        if isinstance(found, str):
            left.append((judgement.key, found))
        else:
            jobs.append(found)
    return tuple(jobs), tuple(left)


def _wanted(judgement: Judgement) -> bool:
    """What is to be reformed, and wet reservoirs that stay in use after years without."""
    if judgement.decision is Decision.REFORM:
        return True
    position = judgement.position
    wet = position.body.kind is Kind.WET_ALUMINIUM
    return judgement.decision in _KEPT and wet and position.role in _RESERVOIRS and not _leaks_little(position)


def _leaks_little(position: Position) -> bool:
    """Return whether a leakage reading already shows a sound oxide."""
    leakage, value_f, rated_v = position.measured.leakage_a, position.capacitance_f, position.rated_voltage_v
    if leakage is None or not value_f or not rated_v or position.measured.in_circuit:
        return False
    return leakage <= accept_leakage_a(value_f, rated_v)


def _job(judgement: Judgement) -> ReformJob | str:
    position = judgement.position
    if position.body.kind is not Kind.WET_ALUMINIUM:
        return f"{position.body.kind}: only wet aluminium can be reformed"
    if not position.capacitance_f or not position.rated_voltage_v:
        return "capacitance or rated voltage is not known"
    plan = reform_plan(position.capacitance_f, position.rated_voltage_v, None, History.USED)
    return ReformJob(
        judgement.key,
        position.capacitance_f,
        position.rated_voltage_v,
        plan.resistance_ohm,
        plan.body.rating_w if plan.body else None,
        plan.body.kind if plan.body else "several in series",
        plan.shorted_power_w,
        plan.current_limit_a,
        tuple(ReformStage(step.voltage_v, step.minutes, step.watch) for step in plan.steps),
        plan.accept_leakage_a,
        plan.discharge.resistance_ohm,
        plan.procedure_source,
        judgement.decision is Decision.REFORM,
    )


REFORM_RULES: Sequence[str] = (
    "Out of the circuit, or with at least one lead lifted: anything in parallel gets the voltage too.",
    "Used and undated parts start at 0 V with the small current limit (our judgement). The published procedures with "
    "100 Ω or 1 kΩ are for unused dated stock on a current-limited supply only.",
    "Meter across the series resistor: it shows the current. Raise the voltage only when the current, never above its "
    "limit, has fallen and settled; at the last voltage it must go on falling below what may be accepted.",
    "Polarity twice. Behind a screen, eye protection on; stop at any warming, bulging or hiss.",
    "Afterwards discharge through the resistor named, wait 12 to 48 hours, then measure C, ESR and leakage: reforming "
    "proves the oxide alone.",
)
