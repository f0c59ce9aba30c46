"""Kind: which technologies may stand in, polarity class, mains safety classes."""

from __future__ import annotations

import math
from collections.abc import Iterable

from recap.model import POLAR_KINDS, Basis, Decision, Input, Kind, Relation, Role
from recap.rules import reference
from recap.rules.case import AC_ROLES, Case
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import farads, plain, volts

_X_DISCHARGE = "Check that a discharge resistor across this X part is there and whole."


@rule("kind-exchange", "Kinds that may stand in", "common-practice", "kind")
def kind_exchange(case: Case, say: Say) -> Iterable[Outcome]:
    """The exchanges among wet, polymer, hybrid, tantalum and film, each with its condition."""
    kind, role = case.position.body.kind, case.position.role
    if case.across_mains:
        return
    if kind is Kind.UNKNOWN:
        yield from _unknown_kind(case, say)
        return
    exchange = reference.kind_exchange(kind, role)
    if exchange is None:
        yield say.missing(f"an exchange for {kind}")
        return
    seen = Input("kind", str(kind), Basis.MARKED)
    known = Basis.ASSUMED if role is Role.UNKNOWN else Basis.DOCUMENTED
    allowed = exchange.allowed
    if role in AC_ROLES:
        allowed = tuple(name for name in allowed if Kind(name) not in POLAR_KINDS)
    mounting = case.position.body.mounting
    allowed = tuple(name for name in allowed if name == kind or reference.sold_in(name, mounting)) or allowed
    yield say.demand(
        "kind", Relation.ONE_OF, allowed, "", [seen, Input("role", str(role), known)],
        exchange.condition or "kinds that serve as well or better here", "kind " + " or ".join(allowed),
        source=exchange.source,
    )  # fmt: skip
    if str(kind) in allowed:
        yield say.demand(
            "kind", Relation.ONE_OF, (str(kind),), "", [seen], "the same kind needs no further thought",
            f"kind {kind}", prefer=True, source="common-practice",
        )  # fmt: skip


def _unknown_kind(case: Case, say: Say) -> Iterable[Outcome]:
    yield say.missing("kind")
    if no_electrolytic(case):
        return
    likely = (Kind.NON_POLAR_ALUMINIUM, Kind.FILM) if case.position.role in AC_ROLES else (Kind.WET_ALUMINIUM,)
    names = tuple(str(kind) for kind in likely)
    yield say.demand(
        "kind", Relation.ONE_OF, names, "", [Input("kind", "unknown", Basis.ASSUMED)],
        "the likeliest in such a place; check the body before buying", "kind " + " or ".join(names),
        prefer=True, source="our-judgement",
    )  # fmt: skip


@rule("double-layer", "More charge than an electrolytic of its size holds", "our-judgement", "decision")
def double_layer(case: Case, say: Say) -> Iterable[Outcome]:
    """A part of unknown kind that holds far more than any aluminium part of its size is a double-layer one."""
    body, given, rated = case.position.body, case.capacitance, case.rated_voltage
    if body.kind is not Kind.UNKNOWN or case.position.role is not Role.BACKUP:
        return
    found = {"capacitance": given, "volts": rated, "diameter": body.diameter_mm, "height": body.length_mm}
    if given is None or rated is None or body.diameter_mm is None or body.length_mm is None:
        yield say.missing(*(name for name, value in found.items() if value is None))
        return
    if not no_electrolytic(case):
        return
    size = Input("body", f"{plain(body.diameter_mm)} × {plain(body.length_mm)} mm", Basis.MEASURED)
    yield say.vote(
        Decision.REFER, "double-layer", [given.input, rated.input, size],
        f"holds more than the {plain(_densest())} mC/cm³ of the densest electrolytics: a double-layer back-up part, "
        "bought as such by value, volts and the current its clock draws",
    )  # fmt: skip


def no_electrolytic(case: Case) -> bool:
    """Return whether a part of unknown kind claims more charge than any electrolytic of its size can hold."""
    body, given, rated = case.position.body, case.capacitance, case.rated_voltage
    if body.kind is not Kind.UNKNOWN or given is None or rated is None:
        return False
    if body.diameter_mm is None or body.length_mm is None:
        return False
    volume_cm3 = math.pi / 4 * body.diameter_mm**2 * body.length_mm / 1000
    return given.value * rated.value * 1000 > _densest() * volume_cm3


def _densest() -> float:
    return reference.most_charge_per_volume()


@rule("polarity-class", "Bipolar is never replaced by polar", "common-practice", "polarity")
def polarity_class(case: Case, say: Say) -> Iterable[Outcome]:
    """A non-polar part, or alternating voltage, takes bipolar aluminium or film only, checked for AC current."""
    kind, role = case.position.body.kind, case.position.role
    if kind is Kind.NON_POLAR_ALUMINIUM or role in AC_ROLES:
        yield say.demand(
            "polarity", Relation.ONE_OF, ("bipolar",), "",
            [Input("kind", str(kind), Basis.MARKED), Input("role", str(role), Basis.DOCUMENTED)],
            "polarity class is never lowered", "a bipolar part",
        )  # fmt: skip
    if role in AC_ROLES:
        if case.position.measured.ripple_current_a is None:
            yield say.missing("AC current through the part, against the new part's AC rating")
        if kind in POLAR_KINDS:
            yield say.stop(
                f"A polarised part sits in a {role} position, which carries alternating voltage: check the documents.",
                danger=True,
            )


@rule("mains-safety", "Mains positions take safety-class parts only", "iec-60384-14", "safety class")
def mains_safety(case: Case, say: Say) -> Iterable[Outcome]:
    """Continuous mains AC never gets an electrolytic; class, AC rating and value are kept."""
    if not case.across_mains:
        if case.position.marked.ac and case.is_electrolytic and case.position.role not in AC_ROLES:
            text = "Marked with an AC voltage: find out what stands on it before a kind is chosen."
            yield say.stop(text, danger=True)
        return
    yield say.demand(
        "kind", Relation.ONE_OF, (str(Kind.FILM),), "", [Input("role", str(case.role), Basis.DOCUMENTED)],
        "continuous mains voltage takes a film part of a safety class, never an electrolytic and never plain film",
        "kind film, safety class",
    )  # fmt: skip
    if case.is_electrolytic and case.position.body.kind is not Kind.UNKNOWN:
        yield say.stop(
            "An electrolytic sits in a mains safety position: do not refit one; find the right class.", danger=True
        )
    yield from _ac_rating(case, say)
    yield from _safety_class(case, say, case.position.marked.safety_class.upper())
    yield Note("Mains side: unplugged, discharged and measured before it is touched.", hazard=True)


def _ac_rating(case: Case, say: Say) -> Iterable[Outcome]:
    """The marked AC rating is a floor by its own rule; the mains is one besides, and all there is without a marking."""
    mains = case.unit.mains_voltage_v
    if not case.position.marked.ac:
        yield say.missing("AC rating (the marking is not an AC voltage)")
    if mains is None:
        yield say.missing("mains voltage of the unit")
        return
    known = Input("mains", f"{volts(mains)} AC", case.unit_basis("mains_voltage_v"))
    yield say.demand(
        "ac_voltage_v", Relation.AT_LEAST, mains, "V", [known], "the AC rating is no lower than the mains",
        f"AC rating at least {volts(mains)} AC",
    )  # fmt: skip


def _unknown_class(say: Say, letter: str) -> Iterable[Outcome]:
    """Nothing is bought while the class is unknown, and what is offered must serve whichever class it was."""
    yield say.missing("safety class (X1, X2, Y1, Y2 or Y4)")
    known = letter[:1] if letter[:1] in ("X", "Y") else ""
    allowed = reference.safety_whatever(known)
    seen = Input("class", f"{known}, number not known" if known else "not known", Basis.ASSUMED)
    yield say.demand(
        "safety_class", Relation.ONE_OF, allowed, "", [seen], "until the class is known, one that serves them all",
        "safety class " + " or ".join(allowed),
    )  # fmt: skip
    if known:
        yield say.stop(
            f"Mains part marked {known} without its number: find out whether it is {known}1 or {known}2 "
            "(approval marks, documents, the impulses it must bear) before a part is bought; never a plain film part."
        )
    else:
        yield say.stop(
            "Mains position without a known class: line to line takes X, line to earth takes Y, and never a plain film "
            "part."
        )


def _safety_class(case: Case, say: Say, letter: str) -> Iterable[Outcome]:
    allowed = reference.safety_substitutes(letter)
    if not allowed:
        yield from _unknown_class(say, letter)
        if letter.startswith("X"):
            yield Note(_X_DISCHARGE, hazard=True)
        return
    seen = Input("class", letter, Basis.MARKED)
    yield say.demand(
        "safety_class", Relation.ONE_OF, allowed, "", [seen],
        "impulse class no lower; Y1 and Y2 may stand for X, Y4 never, X never for Y",
        "safety class " + " or ".join(allowed),
    )  # fmt: skip
    value = case.capacitance
    if letter.startswith("Y") and value is not None:
        yield say.demand(
            "capacitance_f", Relation.AT_MOST, value.value, "F", [value.input, seen],
            "a Y part's value sets the earth leakage current: never raised",
            f"capacitance at most {farads(value.value)}",
        )  # fmt: skip
    if letter.startswith("X"):
        yield Note(_X_DISCHARGE, hazard=True)
