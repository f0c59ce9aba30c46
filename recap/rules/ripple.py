"""Ripple current: what the part must carry, at a stated frequency."""

from __future__ import annotations

from collections.abc import Iterable

from recap.model import Basis, Input, Relation, Role
from recap.rules import circuit, new_parts
from recap.rules.case import SUPPLY_ROLES, Case
from recap.rules.rule import Outcome, Say, rule
from recap.units import plain, si

_CARRIES_RIPPLE = SUPPLY_ROLES - {Role.START_UP, Role.REGULATOR_OUTPUT}


@rule("ripple-measured", "Carry the measured ripple", "common-practice", "ripple current")
def ripple_measured(case: Case, say: Say) -> Iterable[Outcome]:
    """A measured ripple current with its frequency is a floor at that frequency."""
    measured = case.position.measured
    if case.position.role not in _CARRIES_RIPPLE and measured.ripple_current_a is None:
        return
    if measured.ripple_current_a is None:
        yield say.missing("ripple current measured, with its frequency")
        return
    if measured.ripple_frequency_hz is None:
        yield say.missing("frequency of the measured ripple current")
        return
    current, frequency = measured.ripple_current_a, measured.ripple_frequency_hz
    seen = Input("ripple current", f"{si(current, 'A')} at {si(frequency, 'Hz')}", Basis.MEASURED)
    yield say.demand(
        "ripple_current_a", Relation.AT_LEAST, current, "A", [seen], "rated for at least what flows",
        f"ripple rating at least {si(current, 'A')} at {si(frequency, 'Hz')} and its full temperature",
        frequency_hz=frequency,
    )  # fmt: skip


@rule("ripple-circuit", "Carry the ripple that the circuit makes", "kirchhoff", "ripple current")
def ripple_circuit(case: Case, say: Say) -> Iterable[Outcome]:
    """The periodic steady state of winding, rectifier, reservoirs and load gives each reservoir's share."""
    if case.position.role not in circuit.RESERVOIRS or case.switched:
        return
    lacking = circuit.lacking(case.unit, case.rail)
    found = case.circuit_ripple
    if lacking or found is None:
        unsolved = ("value of every reservoir on the rail", "a load that the winding can feed")
        yield say.missing(*(lacking or unsolved))
        return
    rating = circuit.RATING_HZ
    yield say.demand(
        "ripple_current_a", Relation.AT_LEAST, found.equivalent_a, "A", found.inputs,
        f"steady state at full load: {si(found.rms_a, 'A')} rms in this part, from {si(found.frequency_hz, 'Hz')} up; "
        f"each harmonic over its multiplier of the part's class",
        f"ripple rating at least {si(found.equivalent_a, 'A')} at {si(rating, 'Hz')} and its full temperature",
        frequency_hz=rating,
    )  # fmt: skip


@rule("ripple-inferred", "No less ripple than the original's size allowed", "technical-note-life", "ripple current")
def ripple_inferred(case: Case, say: Say) -> Iterable[Outcome]:
    """What the original could carry follows from its can's surface and its ESR: a wish where nothing else is known."""
    known = case.position.measured.ripple_current_a is not None or case.circuit_ripple is not None
    if case.position.role not in _CARRIES_RIPPLE or known:
        return
    body, ceiling = case.position.body, case.esr_ceiling
    if ceiling is None or body.diameter_mm is None or body.length_mm is None:
        yield say.missing(*_lacking(case))
        return
    at = new_parts.frequency_band("high" if case.switched else "low").frequency_hz
    resistance = ceiling.value * (new_parts.high_frequency_share() if case.switched else 1.0)
    where = f"what good parts show at {si(at, 'Hz')}" if case.switched else "its largest ESR"
    hot = new_parts.hot_class(case.category.value if case.category else None)
    current = new_parts.ripple_from_size(resistance, body.diameter_mm, body.length_mm, hot)
    size = Input("body", f"{plain(body.diameter_mm)} × {plain(body.length_mm)} mm", Basis.MEASURED)
    rise = plain(new_parts.rated_rise_k(hot))
    yield say.demand(
        "ripple_current_a", Relation.AT_LEAST, current, "A", [ceiling.input, size],
        f"current that warms this can by {rise} K at {where}, √(a·S^0.8·ΔT/ESR); inferred, not rated",
        f"ripple rating at least {si(current, 'A')} at {si(at, 'Hz')} and its full temperature",
        prefer=True, frequency_hz=at,
    )  # fmt: skip


def _lacking(case: Case) -> list[str]:
    """Return what the inference lacks, by name."""
    if not case.has_loss_table:
        return [f"ripple rating of the original ({case.position.body.kind}), from its data sheet"]
    body = case.position.body
    found = {
        "capacitance": case.capacitance, "volts": case.rated_voltage,
        "diameter": body.diameter_mm, "height": body.length_mm,
    }  # fmt: skip
    return [name for name, value in found.items() if value is None]
