"""Voltage: never below the marking, never below the worst peak, with a margin where it can be had."""

from __future__ import annotations

from collections.abc import Iterable

from recap.formulas.preferred import next_rating
from recap.model import Basis, Input, Kind, Relation, Role
from recap.rules import reference
from recap.rules.case import AC_ROLES, Case
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import plain, volts


@rule("voltage-marked", "Never below the marked rating", "common-practice", "rated voltage")
def voltage_marked(case: Case, say: Say) -> Iterable[Outcome]:
    """The rating on the body is the floor; an equal-value rename (64 to 63 V) needs a working voltage below it."""
    rated = case.rated_voltage
    if rated is None:
        yield say.missing("marked or documented volts")
        return
    renamed = reference.renamed_rating(rated.value)
    working = case.working_voltage
    if renamed is not None and working is not None and working.basis is not Basis.ASSUMED:
        limit = renamed * case.policy.number("voltage", "rename_fraction")
        if working.value <= limit:
            operation = (
                f"{volts(rated.value)} is sold as {volts(renamed)} today; "
                f"allowed while the working voltage is at most {volts(limit)}"
            )
            yield say.demand(
                "rated_voltage_v", Relation.AT_LEAST, renamed, "V", [rated.input, working.input], operation,
                f"rated voltage at least {volts(renamed)}", source=case.policy.source("voltage", "rename_source"),
            )  # fmt: skip
            return
    yield say.demand(
        "rated_voltage_v", Relation.AT_LEAST, rated.value, "V", [rated.input],
        "a replacement is rated no lower than the original",
        f"rated voltage at least {volts(rated.value)}",
    )  # fmt: skip
    documented = case.position.documented.rated_voltage_v
    if documented is not None and documented > rated.value:
        known = Input("documented rating", volts(documented), Basis.DOCUMENTED)
        yield say.demand(
            "rated_voltage_v", Relation.AT_LEAST, documented, "V", [rated.input, known],
            "the documents ask for more than was found fitted; the higher one holds",
            f"rated voltage at least {volts(documented)}",
        )  # fmt: skip


@rule("voltage-peak", "Worst-case peak within the rating", "chemi-con-precautions", "rated voltage")
def voltage_peak(case: Case, say: Say) -> Iterable[Outcome]:
    """DC plus ripple at high mains and without load stays within the rating."""
    peak, working = case.peak_voltage, case.working_voltage
    if peak is None:
        yield say.missing("working volts measured, or the rail's nominal volts")
        return
    if case.position.role in AC_ROLES or case.position.role is Role.MAINS_SAFETY:
        return
    yield say.demand(
        "rated_voltage_v", Relation.AT_LEAST, peak.value, "V", [working.input if working else None, peak.input],
        "DC and the crest of the ripple, at high mains and without load, stay within the rating",
        f"rated voltage at least {volts(peak.value)}",
    )  # fmt: skip


@rule("voltage-margin", "Working voltage below a fraction of the rating", "our-judgement", "rated voltage")
def voltage_margin(case: Case, say: Say) -> Iterable[Outcome]:
    """The policy's derating factor for the family; a part above it still fits, with a note."""
    working = case.working_voltage
    if working is None:
        yield say.missing("working volts, rail or marked volts")
        return
    if case.position.role is Role.MAINS_SAFETY or case.position.body.kind is Kind.CERAMIC:
        return
    fraction, source = case.policy.working_fraction(case.family)
    floor = working.value / fraction
    yield say.demand(
        "rated_voltage_v", Relation.AT_LEAST, floor, "V", [working.input],
        f"{volts(working.value)} / {plain(fraction)} ({case.family.replace('-', ' ')}, policy {case.policy.name})",
        f"rated voltage at least {volts(floor)}", prefer=True, source=source,
    )  # fmt: skip


@rule("voltage-step", "The next standard rating that suffices", "iec-60063-ratings", "rated voltage")
def voltage_step(case: Case, say: Say) -> Iterable[Outcome]:
    """Ratings come in steps; the smallest sold step at or above the marking is the least that can be bought."""
    rated = case.rated_voltage
    if rated is None or not case.is_electrolytic:
        return
    step = next_rating(rated.value, reference.common_ratings())
    step = step or next_rating(rated.value, reference.all_ratings())
    if step is None:
        yield Note(f"No single electrolytic is sold for {volts(rated.value)}: a series pair, or film.")
    elif step > rated.value:
        yield say.demand(
            "rated_voltage_v", Relation.AT_LEAST, step, "V", [rated.input],
            f"{volts(rated.value)} is not a common rating today; the next one up is {volts(step)}",
            f"rated voltage at least {volts(step)}", prefer=True,
        )  # fmt: skip
