"""One case through all the rules: decision, requirements, what stops it, and the part to ask for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import replace

from recap.model import (
    Conditions,
    Decision,
    Judgement,
    NotAssessed,
    Orientation,
    Reason,
    Requirement,
    mark_governing,
)
from recap.rules import RULES, decision
from recap.rules.alike import Likeness
from recap.rules.case import Case
from recap.rules.life import life_as_found, life_planned, ripple_of
from recap.rules.polarity import orient
from recap.rules.rule import Note, Outcome, Stop, Vote
from recap.rules.specification import specify
from recap.rules.voltage import sold_rating
from recap.units import volts

_SECTION = "section of a multi-section can: a like can, or separate parts that share its minus"
_MAY_BUY = (Decision.REPLACE, Decision.REFORM, Decision.MEASURE)


def judge(case: Case) -> Judgement:
    """Apply every rule to a case and gather what they say; no rule is skipped, whatever the decision."""
    outcomes: list[Outcome] = [outcome for rule in RULES for outcome in rule.outcomes(case)]
    votes = [item for item in outcomes if isinstance(item, Vote)]
    winner = max(votes, key=lambda vote: vote.weight)
    requirements, contradictions = mark_governing(i for i in outcomes if isinstance(i, Requirement))
    gaps = tuple(item for item in outcomes if isinstance(item, NotAssessed))
    stops = _stops(case, winner.decision, outcomes)
    replaced = winner.decision is Decision.REPLACE
    if replaced:
        stops += tuple(
            f"Demands exclude each other: {item.text} (rules {item.rules[0]} and {item.rules[1]})."
            for item in contradictions
        )
    specification = specify(case, requirements) if winner.decision in _MAY_BUY else None
    if replaced and specification is None and (lacking := _unknown_value(case)):
        stops += (lacking,)
    notes = [item for item in outcomes if isinstance(item, Note)]
    return Judgement(
        position=case.position,
        decision=Decision.STOP if stops else winner.decision,
        meant=winner.decision,
        reasons=_reasons(votes, winner),
        rank=round(decision.rank(case, winner.likelihood), 3),
        requirements=requirements,
        not_assessed=gaps,
        contradictions=contradictions,
        orientation=orient(case) if case.position.polar else Orientation(None),
        stops=stops,
        specification=specification,
        life_as_found=life_as_found(case),
        life_planned=life_planned(case, specification) if specification is not None else None,
        conditions=conditions(case),
        hazards=tuple(note.text for note in notes if note.hazard),
        fitting_notes=tuple(note.text for note in notes if not note.hazard),
    )


def conditions(case: Case) -> Conditions:
    """Return what a part meets here."""
    working, (current, frequency) = case.working_voltage, ripple_of(case)
    return Conditions(
        ambient_temperature_c=case.ambient.value,
        working_voltage_v=None if working is None else working.value,
        ripple_current_a=current,
        ripple_frequency_hz=frequency,
        use_h_per_year=case.unit.use_h_per_year,
        endurance_temperature_c=case.policy.number("temperature", "preferred_category_c"),
        ambient_basis=case.ambient.basis,
    )


def _stops(case: Case, wanted: Decision, outcomes: list[Outcome]) -> tuple[str, ...]:
    """Return what must be settled first: dangers always, the rest only for a part that comes off the board."""
    handled = wanted in (Decision.REPLACE, Decision.REFORM)
    return tuple(item.text for item in outcomes if isinstance(item, Stop) and (handled or item.danger))


def _reasons(votes: list[Vote], winner: Vote) -> tuple[Reason, ...]:
    """Return the winner's reason first, then the other votes by weight; the fallback only when it wins."""
    others = sorted((vote for vote in votes if vote is not winner), key=lambda vote: -vote.weight)
    return tuple(dict.fromkeys((winner.reason, *(v.reason for v in others if v.reason.rule != "no-reason"))))


def _unknown_value(case: Case) -> str:
    """Return what hinders an order as a sentence; empty where value and rating are known."""
    lacking = [name for name, known in (("capacitance", case.capacitance), ("volts", case.rated_voltage)) if not known]
    if not lacking:
        return ""
    return (
        f"To be replaced, but its {' and '.join(lacking)} could not be read or found in the documents: "
        f"look it up or measure the rail before anything is bought.{_rating_for_rail(case)}"
    )


def _rating_for_rail(case: Case) -> str:
    """Return which rating would do for a known rail where the marking is gone; empty otherwise."""
    working, peak = case.working_voltage, case.peak_voltage
    if case.rated_voltage is not None or working is None or peak is None:
        return ""
    fraction, _ = case.policy.working_fraction(case.family)
    rating = sold_rating(peak.value, max(peak.value, working.value / fraction))
    return "" if rating is None else (
        f" By {working.name} ({volts(working.value)}, at most {volts(peak.value)}) {volts(rating)} would do."
    )  # fmt: skip


def with_section_note(judgement: Judgement, sections: tuple[str, ...]) -> Judgement:
    """Return the judgement of a can's section with the note that the sections share one body."""
    names = ", ".join(sections)
    text = f"Section of a can that also holds {names}: separate parts must share its minus, or find a like can."
    specification = judgement.specification
    if specification is not None:
        specification = replace(specification, notes=(*specification.notes, _SECTION))
    return replace(judgement, fitting_notes=(*judgement.fitting_notes, text), specification=specification)


def _judged(cases: Iterable[Case]) -> list[Judgement]:
    """Judge every case, those that no rule can tell apart once."""
    likeness, found, judged = Likeness(), dict[Hashable, Judgement](), []
    for case in tuple(cases):
        alike = likeness.of(case)
        judgement = found.get(alike)
        if judgement is None:
            judgement = found[alike] = judge(case)
            judged.append(judgement)
        else:
            judged.append(replace(judgement, position=case.position))
    return judged


def judge_all(cases: Iterable[Case]) -> tuple[Judgement, ...]:
    """Judge every case, and tell the sections of one can of each other."""
    judged = _judged(cases)
    cans: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for item in judged:
        if item.key.section:
            cans[item.key[:3]].append(item.key.section)
    finished = []
    for item in judged:
        others = tuple(name for name in cans.get(item.key[:3], ()) if name != item.key.section)
        finished.append(with_section_note(item, others) if others else item)
    return tuple(finished)
