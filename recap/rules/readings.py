"""What instruments say about the part that is there: capacitance, ESR at its frequency, leakage."""

from __future__ import annotations

from collections.abc import Iterable

from recap.formulas.leakage import leakage_limit_a
from recap.model import Basis, Decision, Input, Kind
from recap.rules import reference
from recap.rules.capacitance import original_tolerance
from recap.rules.case import Case
from recap.rules.rule import Note, Outcome, Say, Vote, rule
from recap.units import farads, plain, si

_LOW_FREQUENCY_HZ = (90.0, 150.0)
_HIGH_FREQUENCY_HZ = 10e3


@rule("reading-capacitance", "Capacitance read against the marking", "common-practice", "decision")
def reading_capacitance(case: Case, say: Say) -> Iterable[Outcome]:
    """Far below the marking is faulty; above it suggests leakage, but only out of circuit."""
    measured, marked = case.position.measured, case.capacitance
    if measured.capacitance_f is None or marked is None:
        yield say.missing(*(["capacitance measured"] if measured.capacitance_f is None else ["marked capacitance"]))
        return
    read = Input("capacitance read", farads(measured.capacitance_f), Basis.MEASURED)
    ratio = measured.capacitance_f / marked.value
    floor = case.policy.number("capacitance", "faulty_below")
    _, plus, band = original_tolerance(case)
    if ratio < floor:
        yield say.vote(
            Decision.REPLACE, "reading-bad", [read, marked.input],
            f"{plain(ratio * 100)} % of the marking, below {plain(floor * 100)} %",
        )  # fmt: skip
    elif ratio > 1 + plus and measured.in_circuit is False:
        yield say.vote(
            Decision.MEASURE, "reading-suspect", [read, marked.input, band],
            "above its tolerance out of circuit: suspect leakage and measure it at the rated voltage",
        )  # fmt: skip
    elif ratio > 1 + plus:
        where = "in circuit, where parallel parts add" if measured.in_circuit else "perhaps in circuit (not stated)"
        yield Note(f"Reads {plain(ratio * 100)} % of the marking {where}: says nothing about this part.")


@rule("reading-esr", "ESR read against the ceiling at the same frequency", "panasonic-su", "decision")
def reading_esr(case: Case, say: Say) -> Iterable[Outcome]:
    """Compared only at the instrument's frequency; at 100 kHz a reading above the 120 Hz ceiling is bad anyway."""
    measured, ceiling = case.position.measured, case.esr_ceiling
    if measured.esr_ohm is None:
        if case.is_electrolytic:
            yield say.missing("ESR measured, with its frequency")
        return
    if measured.esr_frequency_hz is None or ceiling is None:
        yield say.missing("frequency of the ESR reading" if ceiling else "capacitance and volts of the original")
        return
    frequency = measured.esr_frequency_hz
    read = Input("ESR read", f"{si(measured.esr_ohm, 'Ω')} at {si(frequency, 'Hz')}", Basis.MEASURED)
    multiple = case.policy.number("esr", "faulty_multiple")
    low, high = _LOW_FREQUENCY_HZ
    if low <= frequency <= high and measured.esr_ohm > multiple * ceiling.value:
        yield say.vote(
            Decision.REPLACE, "reading-bad", [read, ceiling.input],
            f"more than {plain(multiple)} times the ceiling at the same frequency",
        )  # fmt: skip
    elif frequency >= _HIGH_FREQUENCY_HZ and measured.esr_ohm > ceiling.value:
        yield say.vote(
            Decision.REPLACE, "reading-bad", [read, ceiling.input],
            "above even the 120 Hz ceiling, though ESR falls with frequency",
        )  # fmt: skip
    elif frequency >= _HIGH_FREQUENCY_HZ:
        guide = multiple * reference.high_frequency_share() * ceiling.value
        if measured.esr_ohm > guide:
            yield say.vote(
                Decision.MEASURE, "reading-suspect", [read, ceiling.input],
                f"above {si(guide, 'Ω')}, {plain(multiple)} times what good parts show at 100 kHz by common practice",
                source="common-practice",
            )  # fmt: skip
    elif not low <= frequency <= high:
        yield say.missing(f"an ESR ceiling at {si(frequency, 'Hz')} (readings are never compared across frequencies)")


@rule("reading-leakage", "Leakage read against the limit", "panasonic-su", "decision")
def reading_leakage(case: Case, say: Say) -> Iterable[Outcome]:
    """Above the limit of a new part a wet one is reformed, a solid one replaced."""
    leakage, limit = case.position.measured.leakage_a, leakage_limit(case)
    if leakage is None or limit is None:
        return
    read = Input("leakage read", si(leakage, "A"), Basis.MEASURED)
    known = Input("limit of a new part", si(limit, "A"), Basis.CALCULATED)
    if leakage > limit:
        wet = case.position.body.kind in (Kind.WET_ALUMINIUM, Kind.NON_POLAR_ALUMINIUM, Kind.UNKNOWN)
        yield say.vote(
            Decision.REFORM if wet else Decision.REPLACE, "reading-bad" if not wet else "reading-suspect",
            [read, known], "above the limit, the larger of 0.01·C·V and 3 µA",
        )  # fmt: skip


@rule("readings-good", "Good readings speak for keeping", "our-judgement", "decision")
def readings_good(case: Case, say: Say) -> Iterable[Outcome]:
    """Capacitance and ESR within limits, leakage too where it was read."""
    measured, marked, ceiling = case.position.measured, case.capacitance, case.esr_ceiling
    if measured.capacitance_f is None or measured.esr_ohm is None or marked is None or ceiling is None:
        return
    judged = [*reading_capacitance.outcomes(case), *reading_esr.outcomes(case), *reading_leakage.outcomes(case)]
    if any(isinstance(outcome, Vote) for outcome in judged) or measured.esr_frequency_hz is None:
        return
    inputs = [
        Input("capacitance read", farads(measured.capacitance_f), Basis.MEASURED),
        Input("ESR read", si(measured.esr_ohm, "Ω"), Basis.MEASURED),
    ]
    untested = "" if measured.leakage_a is not None else "; leakage, the only test for some faults, was not read"
    yield say.vote(Decision.KEEP, "readings-good", inputs, "readings within their limits" + untested)


def leakage_limit(case: Case) -> float | None:
    """Return the leakage limit of a new part in A, the larger of 0.01·C·V and 3 µA."""
    if case.capacitance is None or case.rated_voltage is None or not case.is_electrolytic:
        return None
    factor, floor = reference.leakage_terms()
    return float(leakage_limit_a(case.capacitance.value, case.rated_voltage.value, factor, 0.0, floor))
