"""A reforming plan for one wet aluminium capacitor."""

from __future__ import annotations

from dataclasses import asdict

from recap.bench.constants import constant
from recap.bench.reform import History, ReformPlan, reform_plan
from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero, capacitance_f
from recap.problems import Problem
from recap.units import NotAQuantity, farads, plain, si, volts

LONGEST_STORED = 150  # years; no wet aluminium capacitor is older
HISTORIES = tuple(str(each) for each in History)
CAUTIONS = (
    "Wet aluminium only, out of the circuit or with one lead lifted: never tantalum, polymer, paper or film.",
    "A part that bulges, leaks, smells or warms is finished: stop. It may vent hot gas; keep the face away and "
    "wear eye protection.",
    "The part and its supply hold a dangerous charge; discharge through the resistor shown, measure, keep it shorted.",
    "Reforming proves the oxide only: capacitance and ESR still decide. Never leave it unattended.",
)


def reform(capacitance: str, voltage: str, stored: float | None = None, history: str = History.USED) -> Answer:
    """Return how to bring a part's oxide back, and what it must then leak at most."""
    value_f = capacitance_f(capacitance)
    voltage_v = above_zero(voltage, "volt", "rated voltage")
    if stored is not None and not 0 <= stored <= LONGEST_STORED:
        raise NotAQuantity(f"{stored:g} years in storage cannot be: 0 to {LONGEST_STORED} are meant")
    plan = reform_plan(value_f, voltage_v, stored, History(history))
    result = {
        "resistor_ohm": plan.resistance_ohm,
        "resistor_rating_w": plan.body.rating_w if plan.body else None,
        "current_limit_a": plan.current_limit_a,
        "steps": [asdict(step) for step in plan.steps],
        "accept_leakage_a": plan.accept_leakage_a,
        "treated_as": str(plan.history),
        "shorted_power_w": plan.shorted_power_w,
        "discharge_resistor_ohm": plan.discharge.resistance_ohm,
        "rest_h": [constant("reform_rest_low_h"), constant("reform_rest_high_h")],
        "published": [asdict(each) for each in plan.published],
    }
    limit_source = "kemet-a4035-peh169" if plan.history is History.UNUSED else "our-judgement"
    sources = (limit_source, plan.procedure_source, "eia-815", *(each.source for each in plan.published))
    return Answer(
        result, _lines(plan, value_f, voltage_v), tuple(dict.fromkeys(sources)), CAUTIONS, _problems(plan, history)
    )


def _lines(plan: ReformPlan, value_f: float, voltage_v: float) -> tuple[str, ...]:
    rating = f"{plain(plan.body.rating_w)} W {plan.body.kind}" if plan.body else "several sharing the power"
    kind = "unused dated stock" if plan.history is History.UNUSED else "used or undated part"
    rest = f"{plain(constant('reform_rest_low_h'))} to {plain(constant('reform_rest_high_h'))} h"
    discharge = plan.discharge
    return (
        f"{farads(value_f)} {volts(voltage_v)}, {kind}: at most {si(plan.current_limit_a, 'A')}.",
        f"Series resistor U/I, next up in E12: {si(plan.resistance_ohm, 'Ω')}, {rating}; "
        f"a shorted part leaves it {si(plan.shorted_power_w, 'W')}.",
        *(
            f"  {number}. {volts(step.voltage_v)} for {plain(step.minutes)} min: {step.watch}."
            for number, step in enumerate(plan.steps, 1)
        ),
        f"Accept at 0.01·C·U + 3 µA = {si(plan.accept_leakage_a, 'A')} or less and still falling.",
        f"Then discharge through {si(discharge.resistance_ohm, 'Ω')} {plain(discharge.body.rating_w)} W, "
        f"measure, rest {rest}, and measure capacitance, ESR and leakage.",
        *(f"Published, current-limited supply only: {each.text} [{each.source}]." for each in plan.published),
    )


def _problems(plan: ReformPlan, history: str) -> tuple[Problem, ...]:
    found = []
    if history == History.UNUSED and plan.history is History.USED:
        message = "unused stock without its years in storage is treated as used"
        found.append(Problem("undated-stock", message, hint="add --stored with the years since its date code"))
    if plan.body is None:
        message = f"no single resistor sold carries {si(plan.shorted_power_w, 'W')} of a shorted part with margin"
        found.append(Problem("resistor-too-small", message, hint="limit the current further, or share the power"))
    return tuple(found)
