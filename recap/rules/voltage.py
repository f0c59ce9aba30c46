"""Voltage: never below the marking, never below the worst peak, with a margin where it can be had."""

from __future__ import annotations

from collections.abc import Iterable

from recap.formulas.preferred import next_rating
from recap.model import Basis, Decision, Input, Kind, Relation, Requirement, Strength
from recap.rules import reference
from recap.rules.case import Case
from recap.rules.given import Given, exceeds
from recap.rules.rule import Note, Outcome, Say, rule
from recap.rules.stress import BESIDE_THE_RAIL, rail_behaviour_known, winding_rise
from recap.units import plain, volts


@rule("voltage-marked", "Never below the marked rating", "common-practice", "rated voltage")
def voltage_marked(case: Case, say: Say) -> Iterable[Outcome]:
    """The rating on the body is the floor; an equal-value rename (64 to 63 V) needs a working voltage below it."""
    rated = case.rated_voltage
    if rated is None:
        yield say.missing("marked or documented volts")
        return
    renamed = _renamed(case, rated)
    if renamed is not None:
        yield _renamed_floor(case, say, rated, renamed)
    else:
        yield _rating_floor(case, say, rated.value, [rated.input], "a replacement is rated no lower than the original")
    documented = case.position.documented.rated_voltage_v
    if documented is not None and documented > rated.value:
        known = Input("documented rating", volts(documented), Basis.DOCUMENTED)
        yield _rating_floor(
            case, say, documented, [rated.input, known],
            "the documents ask for more than was found fitted; the higher one holds",
        )  # fmt: skip


def _rating_floor(case: Case, say: Say, value: float, inputs: list[Input], operation: str) -> Requirement:
    """Return the demand in the kind of volts that the rating is in: AC stays AC."""
    if case.position.marked.ac:
        result = f"AC rating at least {volts(value)} AC"
        return say.demand("ac_voltage_v", Relation.AT_LEAST, value, "V", inputs, operation, result)
    result = f"rated voltage at least {volts(value)}"
    return say.demand("rated_voltage_v", Relation.AT_LEAST, value, "V", inputs, operation, result)


def _renamed(case: Case, rated: Given) -> float | None:
    """Return today's name of the rating where a known working voltage leaves room under it."""
    renamed, working = reference.renamed_rating(rated.value), case.working_voltage
    if renamed is None or working is None or working.basis is Basis.ASSUMED or case.rated_ac:
        return None
    return renamed if working.value <= renamed * case.policy.number("voltage", "rename_fraction") else None


def _renamed_floor(case: Case, say: Say, rated: Given, renamed: float) -> Requirement:
    limit = renamed * case.policy.number("voltage", "rename_fraction")
    working = case.working_voltage
    return say.demand(
        "rated_voltage_v", Relation.AT_LEAST, renamed, "V", [rated.input, working.input if working else None],
        f"{volts(rated.value)} is sold as {volts(renamed)} today; "
        f"allowed while the working voltage is at most {volts(limit)}",
        f"rated voltage at least {volts(renamed)}", source=case.policy.source("voltage", "rename_source"),
    )  # fmt: skip


@rule("voltage-peak", "Worst-case peak within the rating", "chemi-con-precautions", "rated voltage")
def voltage_peak(case: Case, say: Say) -> Iterable[Outcome]:
    """DC plus ripple at high mains and without load stays within the rating; a wish where the supply is assumed."""
    if case.rated_ac:
        return
    peak, working = case.peak_voltage, case.working_voltage
    if peak is None or working is None:
        yield say.missing(_lacking_for_peak(case))
        return
    if case.position.role not in BESIDE_THE_RAIL and not rail_behaviour_known(case):
        what = "rail" if case.rail is None else f"supply kind of rail {case.rail.name}"
        yield say.missing(f"{what}, for high mains, no load and tolerance")
    rise = winding_rise(case)
    inputs = [working.input] if peak.value == working.value else [working.input, peak.input]
    inputs += [rise.input] if rise is not None else []
    yield say.demand(
        "rated_voltage_v", Relation.AT_LEAST, peak.value, "V", inputs,
        "DC and the crest of the ripple, at high mains and without load, stay within the rating",
        f"rated voltage at least {volts(peak.value)}", prefer=peak.basis is Basis.ASSUMED,
    )  # fmt: skip


def _lacking_for_peak(case: Case) -> str:
    if case.position.role in BESIDE_THE_RAIL and case.rail is not None:
        return "working volts measured (the rail need not stand across this part)"
    return "working volts measured, or the rail's nominal volts"


@rule("under-rated", "The part that is there bears what may stand on it", "chemi-con-precautions", "decision")
def under_rated(case: Case, say: Say) -> Iterable[Outcome]:
    """A fitted part whose rating lies below the worst-case peak is replaced, however well it reads."""
    rated, peak = case.rated_voltage, case.peak_voltage
    if case.rated_ac or not case.is_electrolytic or rated is None or peak is None:
        return
    if exceeds(peak.value, rated.value) and peak.basis is not Basis.ASSUMED:
        rise = winding_rise(case)
        yield say.vote(
            Decision.REPLACE, "under-rated", [rated.input, peak.input, rise.input if rise else None],
            "the fitted part is under-rated for its rail",
        )  # fmt: skip


@rule("voltage-margin", "Working voltage below a fraction of the rating", "our-judgement", "rated voltage")
def voltage_margin(case: Case, say: Say) -> Iterable[Outcome]:
    """The policy's derating factor for the family; a part above it still fits, with a note."""
    if case.rated_ac or case.position.body.kind is Kind.CERAMIC:
        return
    working = case.working_voltage
    if working is None:
        yield say.missing("working volts, rail or marked volts")
        return
    fraction, source = case.policy.working_fraction(case.family)
    floor = working.value / fraction
    yield say.demand(
        "rated_voltage_v", Relation.AT_LEAST, floor, "V", [working.input],
        f"{volts(working.value)} / {plain(fraction)} ({case.family.replace('-', ' ')}, policy {case.policy.name})",
        f"rated voltage at least {volts(floor)}", prefer=True, source=source,
    )  # fmt: skip


@rule("voltage-step", "The next standard rating that suffices", "panasonic-radial-part-numbers", "rated voltage")
def voltage_step(case: Case, say: Say) -> Iterable[Outcome]:
    """Ratings come in steps: the smallest common one that suffices for every demand on the voltage."""
    if case.rated_ac or case.position.body.kind is Kind.CERAMIC:
        return
    if case.rated_voltage is None:
        yield say.missing("marked or documented volts")
        return
    rules = (voltage_marked, voltage_peak, voltage_margin)
    must, wanted = voltage_floors(item for each in rules for item in each.outcomes(case))
    step = sold_rating(must, wanted)
    if step is None:
        if case.is_electrolytic:
            yield Note(f"No single electrolytic is sold for {volts(must)}: a series pair, or film.")
        return
    short = f", which leaves less than the margin asked for ({volts(wanted)})" if step < wanted * (1 - 1e-9) else ""
    yield say.demand(
        "rated_voltage_v", Relation.AT_LEAST, step, "V", [case.rated_voltage.input],
        f"the smallest rating sold that suffices for {volts(must if short else wanted)}{short}",
        f"rated voltage at least {volts(step)}", prefer=True,
    )  # fmt: skip


def voltage_floors(outcomes: Iterable[Outcome]) -> tuple[float, float]:
    """Return the highest rated voltage that must be, and that is wanted besides, in V."""
    floors = [
        (float(item.value), item.strength)
        for item in outcomes
        if isinstance(item, Requirement) and item.quantity == "rated_voltage_v" and isinstance(item.value, int | float)
    ]
    must = max((value for value, strength in floors if strength is Strength.MUST), default=0.0)
    return must, max((value for value, _ in floors), default=0.0)


def sold_rating(must_v: float, wanted_v: float) -> float | None:
    """Return the smallest rating that suffices; a wish never forces a rare rating, a must may.

    >>> sold_rating(16.0, 18.0), sold_rating(450.0, 470.0), sold_rating(475.0, 475.0), sold_rating(700.0, 700.0)
    (25.0, 450.0, 475.0, None)
    """
    common, every = reference.common_ratings(), reference.all_ratings()
    tries = ((wanted_v, common), (must_v, common), (must_v, every))
    return next((rating for floor, ladder in tries if (rating := next_rating(floor, ladder)) is not None), None)
