"""Marking against documents: which of two values holds where they differ."""

from __future__ import annotations

import math
from collections.abc import Iterable

from recap.model import Basis, Condition, Decision, Input
from recap.rules.case import Case
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import farads

_SAME = 0.01  # values are written with two or three digits


@rule("documents-differ", "Marking and documents tell the same value", "our-judgement", "decision")
def documents_differ(case: Case, say: Say) -> Iterable[Outcome]:
    """Where a part was replaced before the documents hold, and somebody must confirm them; else the marking does."""
    marked, documented = case.position.marked.capacitance_f, case.position.documented.capacitance_f
    before = Condition.REPLACED_BEFORE in case.position.conditions
    if marked is None or documented is None:
        if before and documented is None:
            yield say.missing("documented capacitance (the part was replaced before)")
        return
    if math.isclose(marked, documented, rel_tol=_SAME):
        return
    if not before:
        yield Note(
            f"Documents say {farads(documented)}, the part is marked {farads(marked)}: taken as marked; a change "
            "at the factory and an old repair look alike, so compare with a like board."
        )
        return
    fitted, listed = (
        Input("marked capacitance", farads(marked), Basis.MARKED),
        Input("documented capacitance", farads(documented), Basis.DOCUMENTED),
    )
    yield say.vote(
        Decision.REPLACE, "value-differs", [fitted, listed],
        "replaced before by another value than the documents give",
    )  # fmt: skip
    yield say.stop(
        f"Replaced before with {farads(marked)} where the documents say {farads(documented)}: the documents hold. "
        "Confirm them with a like board or the schematic before a part is bought."
    )
