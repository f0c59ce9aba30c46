"""What instruments say about the part that is there: capacitance, ESR at its frequency, leakage."""

from __future__ import annotations

from collections.abc import Iterable

from recap.model import Basis, Decision, Input, Kind, Stance
from recap.rules import new_parts
from recap.rules.capacitance import original_tolerance
from recap.rules.case import Case
from recap.rules.esr import lacking_for_ceiling
from recap.rules.given import Given, exceeds
from recap.rules.rule import Note, Outcome, Say, Vote, rule
from recap.units import farads, plain, si


@rule("reading-capacitance", "Capacitance read against the marking", "common-practice", "decision")
def reading_capacitance(case: Case, say: Say) -> Iterable[Outcome]:
    """Far below the marking is faulty; above it suggests leakage, but only out of circuit."""
    measured, marked = case.position.measured, case.fitted_capacitance
    if measured.capacitance_f is None or marked is None:
        yield say.missing(*(["capacitance measured"] if measured.capacitance_f is None else ["marked capacitance"]))
        return
    read = Input("capacitance read", farads(measured.capacitance_f), Basis.MEASURED)
    ratio = measured.capacitance_f / marked.value
    floor = case.policy.number("capacitance", "faulty_below")
    _, plus, band = original_tolerance(case)
    if exceeds(floor, ratio):
        yield say.vote(
            Decision.REPLACE, "reading-bad", [read, marked.input],
            f"{plain(ratio * 100)} % of the marking, below {plain(floor * 100)} %",
        )  # fmt: skip
    elif exceeds(ratio, 1 + plus) and measured.in_circuit is False and measured.leakage_a is not None:
        yield Note(f"Reads {plain(ratio * 100)} % of the marking out of circuit: its leakage reading decides.")
    elif exceeds(ratio, 1 + plus) and measured.in_circuit is False:
        yield say.vote(
            Decision.MEASURE, "reading-suspect", [read, marked.input, band],
            "above its tolerance out of circuit: suspect leakage and measure it at the rated voltage",
        )  # fmt: skip
    elif exceeds(ratio, 1 + plus):
        where = "in circuit: parallel parts add"
        where = where if measured.in_circuit else f"perhaps {where} (not stated)"
        yield Note(f"Reads {plain(ratio * 100)} % of the marking {where}; it says nothing about this part.")


@rule("reading-esr", "ESR read against the ceiling at the same frequency", "panasonic-su", "decision")
def reading_esr(case: Case, say: Say) -> Iterable[Outcome]:
    """Compared only at the instrument's frequency; at 100 kHz a reading above the 120 Hz ceiling is bad anyway."""
    measured, ceiling = case.position.measured, case.fitted_esr_ceiling
    if measured.esr_ohm is None:
        if case.is_electrolytic:
            yield say.missing("ESR measured, with its frequency")
        return
    if measured.esr_frequency_hz is None or ceiling is None:
        yield say.missing(*(lacking_for_ceiling(case) if ceiling is None else ["frequency of the ESR reading"]))
        return
    frequency = measured.esr_frequency_hz
    read = Input("ESR read", f"{si(measured.esr_ohm, 'Ω')} at {si(frequency, 'Hz')}", Basis.MEASURED)
    if new_parts.frequency_band("low").holds(frequency):
        yield from _low_frequency_esr(case, say, read, measured.esr_ohm, ceiling)
    elif new_parts.frequency_band("high").holds(frequency):
        yield from _high_frequency_esr(case, say, read, measured.esr_ohm, ceiling)
    else:
        yield say.missing(f"an ESR ceiling at {si(frequency, 'Hz')} (readings are never compared across frequencies)")


def _low_frequency_esr(case: Case, say: Say, read: Input, esr_ohm: float, ceiling: Given) -> Iterable[Outcome]:
    multiple = case.policy.number("esr", "faulty_multiple")
    if exceeds(esr_ohm, multiple * ceiling.value):
        yield say.vote(
            Decision.REPLACE, "reading-bad", [read, ceiling.input],
            f"more than {plain(multiple)} times the ceiling at the same frequency",
        )  # fmt: skip
    elif exceeds(esr_ohm, ceiling.value):
        yield say.vote(
            Decision.MEASURE, "reading-suspect", [read, ceiling.input],
            f"above the ceiling of a new part, though not {plain(multiple)} times",
        )  # fmt: skip


def _high_frequency_esr(case: Case, say: Say, read: Input, esr_ohm: float, ceiling: Given) -> Iterable[Outcome]:
    multiple = case.policy.number("esr", "faulty_multiple")
    guide = multiple * new_parts.high_frequency_share() * ceiling.value
    if exceeds(esr_ohm, ceiling.value):
        yield say.vote(
            Decision.REPLACE, "reading-bad", [read, ceiling.input],
            "above even the 120 Hz ceiling, though ESR falls with frequency",
        )  # fmt: skip
    elif exceeds(esr_ohm, guide):
        yield say.vote(
            Decision.MEASURE, "reading-suspect", [read, ceiling.input],
            f"above {si(guide, 'Ω')}, {plain(multiple)} times what good parts show at 100 kHz by common practice",
            source="common-practice",
        )  # fmt: skip


@rule("reading-leakage", "Leakage read against the limit", "panasonic-su", "decision")
def reading_leakage(case: Case, say: Say) -> Iterable[Outcome]:
    """Above a new part's limit a solid one is replaced, a large wet one reformed, a small one judged by how far."""
    if not case.is_electrolytic:
        return
    leakage, given, rated = case.position.measured.leakage_a, case.fitted_capacitance, case.rated_voltage
    if leakage is None or given is None or rated is None:
        found = {
            "leakage measured at the rated voltage": leakage,
            "capacitance of the original": given,
            "volts of the original": rated,
        }
        yield say.missing(*(name for name, value in found.items() if value is None))
        return
    body = case.position.body
    limit = new_parts.leakage_limit(body.kind, body.mounting, given.value, rated.value)
    if exceeds(leakage, limit.limit_a):
        decision, vote_id, besides = _leaky(case, leakage / limit.limit_a)
        read = Input("leakage read", si(leakage, "A"), Basis.MEASURED)
        known = Input("limit of a new part", si(limit.limit_a, "A"), Basis.CALCULATED)
        yield say.vote(
            decision, vote_id, [read, known], f"above the limit of a new part, {limit.words} (C in µF){besides}",
            source=limit.source,
        )  # fmt: skip


def _leaky(case: Case, times: float) -> tuple[Decision, str, str]:
    """Return what to do with a leaky part, the vote's id, and what led there besides the limit."""
    if case.position.body.kind not in (Kind.WET_ALUMINIUM, Kind.NON_POLAR_ALUMINIUM, Kind.UNKNOWN):
        return Decision.REPLACE, "reading-bad", ""
    if case.large_can or case.unit.stance is Stance.CONSERVE:
        return Decision.REFORM, "reading-suspect", ""
    multiple = case.policy.number("decision", "leakage_replace_multiple")
    if times >= multiple:
        return Decision.REPLACE, "reading-bad", f", {plain(times)} times it; a small part is not worth reforming"
    again = f"; read it again after an hour at its rated voltage ({plain(times)} times)"
    return Decision.MEASURE, "leaks-slightly", again


@rule("readings-good", "Good readings speak for keeping", "our-judgement", "decision")
def readings_good(case: Case, say: Say) -> Iterable[Outcome]:
    """Capacitance read out of circuit and ESR at a known frequency within limits, leakage too where it was read."""
    measured, marked, ceiling = case.position.measured, case.fitted_capacitance, case.fitted_esr_ceiling
    if measured.capacitance_f is None or measured.esr_ohm is None or marked is None or ceiling is None:
        return
    judged = [
        outcome
        for each in (reading_capacitance, reading_esr, reading_leakage)
        for outcome in each.outcomes(case)
    ]  # fmt: skip
    if any(isinstance(outcome, Vote) for outcome in judged) or not _esr_compared(case):
        return
    if measured.in_circuit is not False:
        yield say.missing("readings out of circuit (parallel parts flatter a reading in circuit)")
        return
    inputs = [
        Input("capacitance read", farads(measured.capacitance_f), Basis.MEASURED),
        Input("ESR read", si(measured.esr_ohm, "Ω"), Basis.MEASURED),
    ]
    untested = "" if measured.leakage_a is not None else "; leakage, the only test for some faults, was not read"
    yield say.vote(Decision.KEEP, "readings-good", inputs, "readings within their limits" + untested)


def _esr_compared(case: Case) -> bool:
    """Return whether the ESR was read at a frequency for which there is a limit."""
    frequency = case.position.measured.esr_frequency_hz
    return frequency is not None and any(new_parts.frequency_band(name).holds(frequency) for name in ("low", "high"))
