"""Kind: which technologies may stand in, polarity class, mains safety classes."""

from __future__ import annotations

from collections.abc import Iterable

from recap.model import POLAR_KINDS, Basis, Input, Kind, Relation, Role
from recap.rules import reference
from recap.rules.case import AC_ROLES, Case
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import farads, volts

_SAFETY_SUBSTITUTES = {
    "X1": ("X1", "Y1", "Y2"),
    "X2": ("X2", "X1", "Y2", "Y1"),
    "Y1": ("Y1",),
    "Y2": ("Y2", "Y1"),
    "Y4": ("Y4", "Y2", "Y1"),
}
"""Y1 and Y2 may stand for X where AC rating and impulse class are no lower; Y4 never, X never for Y."""


@rule("kind-exchange", "Kinds that may stand in", "common-practice", "kind")
def kind_exchange(case: Case, say: Say) -> Iterable[Outcome]:
    """The exchanges among wet, polymer, hybrid, tantalum and film, each with its condition."""
    kind, role = case.position.body.kind, case.position.role
    if role is Role.MAINS_SAFETY:
        return
    if kind is Kind.UNKNOWN:
        yield say.missing("kind")
        yield say.demand(
            "kind", Relation.ONE_OF, (str(Kind.WET_ALUMINIUM),), "", [Input("kind", "unknown", Basis.ASSUMED)],
            "most parts on such lists are wet aluminium; check the body before buying", "kind wet aluminium",
            prefer=True, source="our-judgement",
        )  # fmt: skip
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


@rule("polarity-class", "Bipolar is never replaced by polar", "common-practice", "polarity")
def polarity_class(case: Case, say: Say) -> Iterable[Outcome]:
    """A non-polar part, or alternating voltage, takes bipolar aluminium or film only."""
    kind, role = case.position.body.kind, case.position.role
    if kind is Kind.NON_POLAR_ALUMINIUM or role in AC_ROLES:
        yield say.demand(
            "polarity", Relation.ONE_OF, ("bipolar",), "", [Input("kind", str(kind), Basis.MARKED)],
            "polarity class is never lowered", "a bipolar part",
        )  # fmt: skip
    if role in AC_ROLES:
        yield say.missing("AC current through the part: check the new part's AC rating against the circuit")
        if kind in POLAR_KINDS:
            yield say.stop(
                f"A polarised part sits in a {role} position, which carries alternating voltage: check the documents."
            )


@rule("mains-safety", "Mains positions take safety-class parts only", "iec-60384-14", "safety class")
def mains_safety(case: Case, say: Say) -> Iterable[Outcome]:
    """Continuous mains AC never gets an electrolytic; class, AC rating and value are kept."""
    marked, role = case.position.marked, case.position.role
    if role is not Role.MAINS_SAFETY and not (marked.ac and marked.safety_class):
        if marked.ac and case.is_electrolytic and role is not Role.UNKNOWN:
            yield say.stop("An electrolytic marked with an AC voltage: find out what voltage it really carries.")
        return
    yield say.demand(
        "kind", Relation.ONE_OF, (str(Kind.FILM),), "", [Input("role", str(role), Basis.DOCUMENTED)],
        "continuous mains voltage takes a film part of a safety class, never an electrolytic and never plain film",
        "kind film, safety class",
    )  # fmt: skip
    if case.is_electrolytic and case.position.body.kind is not Kind.UNKNOWN:
        yield say.stop("An electrolytic sits in a mains safety position: do not refit one; find the right class.")
    letter = marked.safety_class.upper()
    if letter not in _SAFETY_SUBSTITUTES:
        yield say.missing("safety class (X1, X2, Y1, Y2)")
        yield say.stop("Mains position without a known class: line to line takes X, line to earth takes Y.")
        return
    allowed, seen = _SAFETY_SUBSTITUTES[letter], Input("class", letter, Basis.MARKED)
    yield say.demand(
        "safety_class", Relation.ONE_OF, allowed, "", [seen],
        "Y1 and Y2 may stand for X where AC rating and impulse class are no lower; Y4 never, X never for Y",
        "safety class " + " or ".join(allowed),
    )  # fmt: skip
    if case.rated_voltage is not None:
        volts_ac = case.rated_voltage
        yield say.demand(
            "ac_voltage_v", Relation.AT_LEAST, volts_ac.value, "V", [volts_ac.input],
            "AC rating no lower than the original's", f"AC rating at least {volts(volts_ac.value)} AC",
        )  # fmt: skip
    value = case.capacitance
    if letter.startswith("Y") and value is not None:
        yield say.demand(
            "capacitance_f", Relation.AT_MOST, value.value, "F", [value.input, seen],
            "a Y part's value sets the earth leakage current: never raised",
            f"capacitance at most {farads(value.value)}",
        )  # fmt: skip
    if letter.startswith("X"):
        yield Note("Check that a discharge resistor across this X part is there and whole.", hazard=True)
    yield Note("Mains side: unplugged, discharged and measured before it is touched.", hazard=True)
