"""What a bring-up document must hold before it can be signed off."""

from __future__ import annotations

from collections.abc import Iterable

from recap.bench.bring_up import LEAST_COLD
from recap.bench.bring_up_fields import (
    BRING_UP,
    BRING_UP_FIELDS,
    BY_HAND,
    BY_HAND_KEY,
    CONNECTED,
    DC,
    DONE,
    FORWARD,
    FREQUENCY,
    LEAKAGE,
    RELEASED_BY,
    REVERSE,
    RIPPLE,
    check_key,
    rail_key,
    reform_key,
    resistance_key,
    stage_key,
    state_fields,
)
from recap.bench.constants import constant_source
from recap.bench.expected import documents_of
from recap.model import Basis, Plan
from recap.model.bench import BenchCheck, BringUp, Limit, RailProof, RefitStage, ReformJob
from recap.model.sign_off import Asked, Expected, ExpectedRow, ReadingLimit, RowKind

_MILLI = 1e3
_MICRO = 1e6


def expected_of_bring_up(plan: Plan, first_power: BringUp, digest: str) -> Expected:
    """Return what one unit's bring-up document must hold."""
    unit = plan.inspection.unit(first_power.unit)
    rails = {rail.name: rail for rail in first_power.rails}
    rows = [_check(check) for check in (*first_power.checks, *first_power.soak)]
    rows += [_reformed(job) for job in first_power.reforms if not job.in_work_order]
    rows += [_resistance(rail) for rail in first_power.rails]
    rows += [_rail(rail) for rail in first_power.rails] or [_by_hand()]
    for stage in first_power.stages:
        rows += _stage(stage, rails)
    return Expected(
        document=BRING_UP,
        plan=digest,
        unit=unit.name,
        board="",
        serial=unit.serial,
        rows=tuple(rows),
        fields=tuple(Asked(field.id, field.label) for field in BRING_UP_FIELDS),
        documents=documents_of(plan, unit.name),
        use_h_per_year=unit.use_h_per_year,
        years_wanted=unit.years_wanted,
    )


def again(stage: RefitStage, rails: dict[str, RailProof]) -> list[RailProof]:
    """Return the rails to read again once a board is in: those that the supply makes for it."""
    return [rails[name] for name in stage.rails if rails[name].made_on != stage.board]


def _check(check: BenchCheck) -> ExpectedRow:
    readings: tuple[ReadingLimit, ...] = ()
    if check.limit is not None:
        limit = check.limit
        words = ("none",) if limit.low is None and limit.unit == "Ω" else ()
        readings = (
            ReadingLimit(
                "reading", "Reading", limit.unit, ("reading",), limit.low, limit.high, why=limit.why,
                source=limit.source, words=words,
            ),
        )  # fmt: skip
    return ExpectedRow(
        check_key(check), check.text, RowKind.CHECK, check.why, (Asked(DONE.id, DONE.label),), (), readings
    )


def _reformed(job: ReformJob) -> ExpectedRow:
    """The leakage of a part that has no step in a work order: it was kept, and is reformed before power."""
    high = job.accept_leakage_a * _MICRO
    reading = ReadingLimit(
        LEAKAGE.id, LEAKAGE.label, LEAKAGE.unit, (LEAKAGE.id,), None, high,
        why="0.01·C·U + 3 µA at rated voltage, and still falling",
        source=constant_source("reform_leakage_factor_per_s"),
    )  # fmt: skip
    name = "/".join(part for part in job.key[1:] if part)
    return ExpectedRow(reform_key(job), f"{name} after reforming", RowKind.CHECK, "kept", readings=(reading,))


def _resistance(rail: RailProof) -> ExpectedRow:
    limit = rail.resistance
    readings = tuple(
        ReadingLimit(
            field.id, field.label, "Ω", (field.id,), limit.low if limit else None, why=limit.why if limit else "",
            source=limit.source if limit else "our-judgement", limit_known=limit is not None,
        )
        for field in (FORWARD, REVERSE)
    )  # fmt: skip
    return ExpectedRow(
        resistance_key(rail.name), rail.name, RowKind.RESISTANCE, "unpowered", readings=readings, rail=rail.name
    )


def _rail(rail: RailProof) -> ExpectedRow:
    readings: list[ReadingLimit] = []
    for state in rail.states:
        dc, ripple = state_fields(state)
        window = rail.light_window if state == LEAST_COLD else rail.window
        readings += [_dc(dc.id, f"{state}: DC", window), _ripple(ripple.id, f"{state}: ripple", rail.ripple)]
    readings.append(
        ReadingLimit(
            "frequency", "ripple's frequency", "Hz", (FREQUENCY.id,), expected_hz=rail.frequency_hz,
            why=rail.frequency_why, words=("none",),
        )
    )  # fmt: skip
    return ExpectedRow(
        rail_key(rail.name), rail.name, RowKind.RAIL, _about(rail), readings=tuple(readings), rail=rail.name
    )


def _by_hand() -> ExpectedRow:
    """Without a list of rails the technician's word stands in for it, as a remark."""
    about = "no rail is on the Rails sheet: judged by hand"
    asked = (Asked(BY_HAND.id, BY_HAND.label),)
    return ExpectedRow(BY_HAND_KEY, "every rail", RowKind.RAIL, about, texts=asked, has_result=True)


def _about(rail: RailProof) -> str:
    made = f", made on {rail.made_on}" if rail.made_on else ""
    feeds = f", feeds {', '.join(rail.feeds)}" if rail.feeds else ""
    return f"against {rail.other_side}{made}{feeds}"


def _dc(field: str, label: str, window: Limit | None) -> ReadingLimit:
    if window is None:
        why = "the rail's nominal voltage is not on the Rails sheet"
        return ReadingLimit("dc", label, "V", (field,), why=why, limit_known=False)
    assumed = window.basis is Basis.ASSUMED
    return ReadingLimit(
        "dc", label, "V", (field,), window.low, window.high, assumed=assumed, why=window.why, source=window.source
    )


def _ripple(field: str, label: str, limit: Limit | None) -> ReadingLimit:
    if limit is None or limit.high is None:
        why = "neither a ripple limit nor the nominal voltage is on the Rails sheet"
        return ReadingLimit("ripple", label, "mV p-p", (field,), why=why, limit_known=False)
    assumed = limit.basis is Basis.ASSUMED
    high = limit.high * _MILLI
    return ReadingLimit(
        "ripple", label, "mV p-p", (field,), 0.0, high, assumed=assumed, why=limit.why, source=limit.source
    )


def _stage(stage: RefitStage, rails: dict[str, RailProof]) -> Iterable[ExpectedRow]:
    texts = (Asked(RELEASED_BY.id, RELEASED_BY.label),) if stage.hold else ()
    yield ExpectedRow(
        stage_key(stage), stage.board, RowKind.STAGE, stage.hold or stage.why,
        (Asked(CONNECTED.id, CONNECTED.label),), texts,
    )  # fmt: skip
    for rail in again(stage, rails):
        yield ExpectedRow(
            stage_key(stage, rail.name), f"{rail.name} with {stage.board} in", RowKind.STAGE_RAIL, "",
            readings=(_dc(DC.id, "DC", rail.window), _ripple(RIPPLE.id, "ripple", rail.ripple)), rail=rail.name,
        )  # fmt: skip
