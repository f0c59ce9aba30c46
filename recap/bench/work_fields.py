"""What a person fills in on a work order: one list, shared by the page, the workbook and the sign-off."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from recap.model import POLAR_KINDS, Decision, Judgement

READINGS_FORMAT = "recap readings"
READINGS_VERSION = 1


class FieldKind(StrEnum):
    """How a field is filled in."""

    TICK = "tick"
    READING = "reading"
    CHOICE = "choice"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class WorkField:
    """One box of a step; `id` is its name in saved files and in the workbook's hidden heading row."""

    id: str
    label: str
    kind: FieldKind
    unit: str = ""
    group: str = ""
    choices: tuple[str, ...] = ()


def _readings(group: str, label: str) -> tuple[WorkField, ...]:
    quantities = (
        ("capacitance_uf", "C", "µF"),
        ("esr_ohm", "ESR", "Ω"),
        ("esr_frequency_khz", "at", "kHz"),
        ("leakage_ua", "Leakage", "µA"),
    )
    return tuple(WorkField(f"{group}_{name}", text, FieldKind.READING, unit, label) for name, text, unit in quantities)


BEFORE = _readings("before", "Old part, before")
GOODS_IN = _readings("goods_in", "New part, before fitting")
AFTER = _readings("after", "Afterwards")

REMOVED = WorkField("removed", "Removed", FieldKind.TICK)
PAD_INSPECTED = WorkField("pad_inspected", "Pads inspected", FieldKind.TICK)
FITTED = WorkField("fitted", "Fitted", FieldKind.TICK)
POLARITY_CHECKED = WorkField("polarity_checked", "Polarity checked", FieldKind.TICK)
CONTINUITY_CHECKED = WorkField("continuity_checked", "Continuity checked", FieldKind.TICK)
SECOND_PERSON_CHECK = WorkField("second_person_check", "Second person", FieldKind.TICK)
ISOLATED = WorkField("isolated", "Isolated from the circuit", FieldKind.TICK)
REFORMED = WorkField("reformed", "Reformed", FieldKind.TICK)
MEASURED = WorkField("measured", "Measured", FieldKind.TICK)
REFERRED = WorkField("referred", "Handed on", FieldKind.TICK)
SETTLED = WorkField("settled", "Settled", FieldKind.TICK)
SETTLED_HOW = WorkField("settled_how", "How it was settled", FieldKind.TEXT)

RESULT = WorkField("result", "Result", FieldKind.CHOICE, choices=("pass", "pass with remarks", "not passed"))
REMARKS = WorkField("remarks", "Remarks", FieldKind.TEXT)

BOARD_FIELDS = (
    WorkField("technician", "Technician", FieldKind.TEXT),
    WorkField("checker", "Second person", FieldKind.TEXT),
    WorkField("date", "Date", FieldKind.TEXT),
    WorkField("instrument", "Meter used for C, ESR and leakage", FieldKind.TEXT),
)
"""Filled in once for a board."""


def ticks(judgement: Judgement) -> tuple[WorkField, ...]:
    """Return the boxes to tick for one step, in the order of the work."""
    decision = judgement.decision
    if decision is Decision.REPLACE:
        polarity = (POLARITY_CHECKED,) if _polar(judgement) else ()
        return (REMOVED, PAD_INSPECTED, FITTED, *polarity, CONTINUITY_CHECKED, SECOND_PERSON_CHECK)
    if decision is Decision.REFORM:
        return (ISOLATED, REFORMED, CONTINUITY_CHECKED, SECOND_PERSON_CHECK)
    if decision is Decision.MEASURE:
        return (MEASURED,)
    return (REFERRED,)


def _polar(judgement: Judgement) -> bool:
    kinds = judgement.specification.kinds if judgement.specification else ()
    return judgement.position.polar or any(kind in POLAR_KINDS for kind in kinds)


def readings(judgement: Judgement) -> tuple[WorkField, ...]:
    """Return the places for readings of one step."""
    decision = judgement.decision
    if decision is Decision.REPLACE:
        return (*BEFORE, *GOODS_IN, *AFTER)
    if decision is Decision.REFORM:
        return (*BEFORE, *AFTER)
    return BEFORE if decision is Decision.MEASURE else ()


def step_fields(judgement: Judgement) -> tuple[WorkField, ...]:
    """Return every field of one step."""
    return (*ticks(judgement), *readings(judgement), RESULT, REMARKS)


STOP_FIELDS = (SETTLED, SETTLED_HOW)
ALL_TICKS = (
    ISOLATED,
    MEASURED,
    REFORMED,
    REMOVED,
    PAD_INSPECTED,
    FITTED,
    POLARITY_CHECKED,
    CONTINUITY_CHECKED,
    SECOND_PERSON_CHECK,
    REFERRED,
)
"""The tick columns of the workbook; a box that a step does not need is greyed there."""
