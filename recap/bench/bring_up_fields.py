"""What a person fills in at bring-up: one list, shared by the page, the workbook and the sign-off."""

from __future__ import annotations

from recap.bench.bring_up import BOARD_COLD, BOARD_WARM, FULL_COLD, FULL_WARM, LEAST_COLD, SOAKED
from recap.bench.work_fields import REMARKS, FieldKind, WorkField
from recap.model.bench import BenchCheck, RailProof, RefitStage, ReformJob

BRING_UP = "bring-up"
WORK_ORDER = "work order"

BRING_UP_FIELDS = (
    WorkField("technician", "Technician", FieldKind.TEXT),
    WorkField("checker", "Second person", FieldKind.TEXT),
    WorkField("date", "Date", FieldKind.TEXT),
    WorkField("meter", "Meter for volts", FieldKind.TEXT),
    WorkField("oscilloscope", "Oscilloscope, probe and bandwidth", FieldKind.TEXT),
    WorkField("mains_v", "Mains voltage during the readings", FieldKind.TEXT),
)
"""Filled in once for the unit."""

DONE = WorkField("done", "Done", FieldKind.TICK)
CONNECTED = WorkField("connected", "Connected", FieldKind.TICK)
RELEASED_BY = WorkField("released_by", "Hold released by", FieldKind.TEXT)
LEAKAGE = WorkField("leakage_ua", "Leakage", FieldKind.READING, "µA")
FORWARD = WorkField("forward_ohm", "meter's plus on the rail", FieldKind.READING, "Ω")
REVERSE = WorkField("reverse_ohm", "the other way", FieldKind.READING, "Ω")
DC = WorkField("dc_v", "DC", FieldKind.READING, "V")
RIPPLE = WorkField("ripple_mv", "Ripple", FieldKind.READING, "mV p-p")
FREQUENCY = WorkField("ripple_frequency_hz", "Frequency of the ripple", FieldKind.READING, "Hz")

BY_HAND_KEY = "rails:by hand"
BY_HAND = WorkField("by_hand", "Every rail with its limits, its direct voltage and its ripple", FieldKind.TEXT)
"""Where no rail was listed: what the technician found, which nothing here can check."""

_STATES = {
    LEAST_COLD: "least_cold",
    FULL_COLD: "full_cold",
    FULL_WARM: "full_warm",
    SOAKED: "soaked",
    BOARD_COLD: "board_cold",
    BOARD_WARM: "board_warm",
}


def check_key(check: BenchCheck) -> str:
    """Return the name of a check's row."""
    return f"check:{check.id}"


def resistance_key(rail: str) -> str:
    """Return the name of the row with a dead rail's resistance."""
    return f"resistance:{rail}"


def rail_key(rail: str) -> str:
    """Return the name of a rail's row."""
    return f"rail:{rail}"


def stage_key(stage: RefitStage, rail: str = "") -> str:
    """Return the name of a stage's row, or of a rail's row in it."""
    return f"stage:{stage.board}:{rail}" if rail else f"stage:{stage.board}"


def reform_key(job: ReformJob) -> str:
    """Return the name of the row with a reformed part's leakage."""
    return f"reform:{job.key}"


def check_fields(check: BenchCheck) -> tuple[WorkField, ...]:
    """Return the fields of a check: a box, a reading where it has limits, room for words."""
    if check.limit is None:
        return (DONE, REMARKS)
    return (DONE, WorkField("reading", "Reading", FieldKind.READING, check.limit.unit), REMARKS)


def state_fields(state: str) -> tuple[WorkField, WorkField]:
    """Return the direct voltage and the ripple of one state of a rail."""
    name = _STATES[state]
    return (
        WorkField(f"{name}_dc_v", DC.label, DC.kind, DC.unit, state),
        WorkField(f"{name}_ripple_mv", RIPPLE.label, RIPPLE.kind, RIPPLE.unit, state),
    )


def rail_fields(rail: RailProof) -> tuple[WorkField, ...]:
    """Return the fields of a rail in all its states."""
    readings = tuple(field for state in rail.states for field in state_fields(state))
    return (*readings, FREQUENCY, REMARKS)


def stage_fields(stage: RefitStage) -> tuple[WorkField, ...]:
    """Return the fields of a stage by itself; a hold asks for a name."""
    return (RELEASED_BY, CONNECTED, REMARKS) if stage.hold else (CONNECTED, REMARKS)
