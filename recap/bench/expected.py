"""What a work order must hold before it can be signed off, taken from the plan."""

from __future__ import annotations

from collections.abc import Iterable

from recap.bench.bring_up_fields import BRING_UP, WORK_ORDER
from recap.bench.constants import constant, constant_source
from recap.bench.reform import accept_leakage_a
from recap.bench.work_fields import BOARD_FIELDS, REMOVED, SETTLED, SETTLED_HOW, ticks
from recap.model import (
    BoardWork,
    Condition,
    Decision,
    Judgement,
    Kind,
    Mounting,
    Plan,
    Position,
    Relation,
    Specification,
    Strength,
)
from recap.model.sign_off import Asked, Expected, ExpectedRow, ReadingLimit, RowKind
from recap.ruledata import table
from recap.rules.new_parts import esr_ceiling, esr_series, leakage_limit
from recap.rules.reference import era_tolerance
from recap.units import farads, plain, si

TABLE_HZ = 120.0
_MICRO = 1e6
_LOSSY = {Kind.WET_ALUMINIUM, Kind.NON_POLAR_ALUMINIUM, Kind.UNKNOWN}
_NEW, _OLD, _AFTER = "goods_in", "before", "after"


def expected_of_board(plan: Plan, work: BoardWork, digest: str) -> Expected:
    """Return what one board's work order must hold."""
    unit = plan.inspection.unit(work.unit)
    rows = (
        *(_stop(judgement) for judgement in work.stops),
        *(_step(judgement) for judgement in work.steps),
        *(_kept(judgement) for judgement in work.left_alone),
        *(
            ExpectedRow(str(position.key), _name(position), RowKind.EMPTY, "empty by design: nothing is fitted")
            for position in work.do_not_fit
        ),
    )
    return Expected(
        document=WORK_ORDER,
        plan=digest,
        unit=unit.name,
        board=work.board,
        serial=unit.serial,
        rows=rows,
        fields=tuple(Asked(field.id, field.label) for field in BOARD_FIELDS),
        documents=documents_of(plan, work.unit),
        use_h_per_year=unit.use_h_per_year,
        years_wanted=unit.years_wanted,
    )


def documents_of(plan: Plan, unit: str) -> tuple[tuple[str, str], ...]:
    """Return every document that the sign-off of a unit needs."""
    boards = tuple((WORK_ORDER, work.board) for work in plan.work if work.unit == unit)
    return (*boards, *((BRING_UP, "") for each in plan.bring_up if each.unit == unit))


def _name(position: Position) -> str:
    return "/".join(part for part in position.key[2:] if part)


def _stop(judgement: Judgement) -> ExpectedRow:
    refer = judgement.decision is Decision.REFER
    return ExpectedRow(
        str(judgement.key),
        _name(judgement.position),
        RowKind.REFER if refer else RowKind.STOP,
        "; ".join(judgement.stops) or _why(judgement),
        ticks=(Asked(SETTLED.id, SETTLED.label),),
        texts=(Asked(SETTLED_HOW.id, SETTLED_HOW.label),),
        meant=str(judgement.meant),
        before=_before(judgement.position),
        ages=_ages(judgement.position),
    )


def _kept(judgement: Judgement) -> ExpectedRow:
    return ExpectedRow(
        str(judgement.key),
        _name(judgement.position),
        RowKind.KEPT,
        _why(judgement),
        before=_before(judgement.position),
        ages=_ages(judgement.position),
    )


def _ages(position: Position) -> bool:
    return position.body.kind in _LOSSY


def _why(judgement: Judgement) -> str:
    if judgement.position.override_reason:
        return judgement.position.override_reason
    return judgement.reasons[0].operation if judgement.reasons else ""


def _step(judgement: Judgement) -> ExpectedRow:
    kinds = {Decision.REPLACE: RowKind.REPLACE, Decision.REFORM: RowKind.REFORM, Decision.MEASURE: RowKind.MEASURE}
    spec, position = judgement.specification, judgement.position
    replaced = judgement.decision is Decision.REPLACE
    needed = [field for field in ticks(judgement) if not _nothing_to_remove(field.id, position)]
    readings = new_part_limits(judgement, spec) if replaced and spec else tuple(_old_part_limits(judgement))
    life = judgement.life_planned if replaced else None
    return ExpectedRow(
        str(judgement.key),
        _name(position),
        kinds[judgement.decision],
        _why(judgement),
        ticks=tuple(Asked(field.id, field.label) for field in needed),
        readings=tuple(readings),
        has_result=True,
        before=_before(position),
        life_low_h=life.low_h if life else None,
        ages=not replaced and _ages(position),
    )


def _nothing_to_remove(field: str, position: Position) -> bool:
    return field == REMOVED.id and Condition.MISSING in position.conditions


def _before(position: Position) -> tuple[tuple[str, str], ...]:
    measured = position.measured
    at = f" at {si(measured.esr_frequency_hz, 'Hz')}" if measured.esr_frequency_hz else ""
    where = " in circuit" if measured.in_circuit else ""
    found = (
        ("C", None if measured.capacitance_f is None else farads(measured.capacitance_f) + where),
        ("ESR", None if measured.esr_ohm is None else si(measured.esr_ohm, "Ω") + at),
        ("leakage", None if measured.leakage_a is None else si(measured.leakage_a, "A")),
    )
    return tuple((name, text) for name, text in found if text)


def new_part_limits(judgement: Judgement, spec: Specification) -> tuple[ReadingLimit, ...]:
    """Return the limits of a new part, read before fitting or afterwards; each piece of a pair by itself."""
    minus, plus = _new_part_tolerance(spec)
    low_f, high_f = spec.capacitance_window_f
    pieces = " each" if spec.pieces > 1 else ""
    capacitance = ReadingLimit(
        "capacitance",
        f"C{pieces}",
        "µF",
        _fields("capacitance_uf", _NEW, _AFTER),
        low=low_f * (1 + minus) * _MICRO,
        high=high_f * (1 + plus) * _MICRO,
        why=f"{farads(low_f)} to {farads(high_f)} with the tolerance of new parts, "
        f"{plain(100 * minus)}/+{plain(100 * plus)} %".replace("-", "−"),
        source="wikipedia-electrolytic",
    )
    return (capacitance, *_new_esr(judgement, spec, pieces), *_new_leakage(spec))


def _new_part_tolerance(spec: Specification) -> tuple[float, float]:
    """Return the widest tolerance of the kinds that may have been fitted."""
    families = [_FAMILIES.get(kind, "other") for kind in spec.kinds] or ["other"]
    bands = [era_tolerance(family, None) for family in families]
    return min(minus for minus, _ in bands), max(plus for _, plus in bands)


_FAMILIES: dict[str, str] = {
    Kind.WET_ALUMINIUM: "wet-aluminium",
    Kind.NON_POLAR_ALUMINIUM: "wet-aluminium",
    Kind.SOLID_TANTALUM: "solid-tantalum",
    Kind.FILM: "film",
}


def _new_esr(judgement: Judgement, spec: Specification, pieces: str) -> Iterable[ReadingLimit]:
    if spec.esr_max_ohm is None:
        return
    low_must = any(
        item.quantity == "esr_ohm" and item.relation is Relation.AT_LEAST and item.strength is Strength.MUST
        for item in judgement.requirements
    )
    yield ReadingLimit(
        "esr",
        f"ESR{pieces}",
        "Ω",
        _fields("esr_ohm", _NEW, _AFTER),
        low=spec.esr_min_ohm if low_must else None,
        high=spec.esr_max_ohm,
        remark_low=spec.esr_min_ohm,
        why=f"at most {si(spec.esr_max_ohm, 'Ω')}"
        + (f" at {si(spec.esr_frequency_hz, 'Hz')}" if spec.esr_frequency_hz else ""),
        source="our-judgement",
        frequency_fields=_fields("esr_frequency_khz", _NEW, _AFTER),
        at_hz=spec.esr_frequency_hz or TABLE_HZ,
        high_frequency=_guide(spec.esr_max_ohm, spec.esr_frequency_hz or TABLE_HZ),
    )


def _guide(ceiling_ohm: float, at_hz: float) -> float | None:
    """Return what good parts show where ESR meters read, from a ceiling at mains frequencies."""
    return ceiling_ohm * constant("esr_high_frequency_fraction") if _low_band(at_hz) else None


def _low_band(frequency_hz: float) -> bool:
    row = next(row for row in table("measuring_frequencies") if row["band"] == "low")
    return float(row["from_hz"]) <= frequency_hz <= float(row["up_to_hz"])


def _new_leakage(spec: Specification) -> Iterable[ReadingLimit]:
    """Compare a leakage reading where one was taken; it is not asked of every new part."""
    kind = next((Kind(name) for name in spec.kinds if name in set(Kind)), Kind.UNKNOWN)
    if spec.ac or kind not in _LOSSY:
        return
    mounting = next((each for each in Mounting if each == spec.mounting), Mounting.UNKNOWN)
    limit = leakage_limit(kind, mounting, spec.capacitance_f, spec.rated_voltage_v)
    yield ReadingLimit(
        "leakage",
        "Leakage",
        "µA",
        _fields("leakage_ua", _NEW, _AFTER),
        high=limit.limit_a * _MICRO,
        required=False,
        why=limit.words,
        source=limit.source,
    )


def _old_part_limits(judgement: Judgement) -> Iterable[ReadingLimit]:
    """Return the limits of a part that stays: value, loss, and after reforming the leakage too."""
    position = judgement.position
    reformed = judgement.decision is Decision.REFORM
    groups = (_AFTER,) if reformed else (_OLD,)
    value_f, rated_v = position.capacitance_f, position.rated_voltage_v
    value_uf = None if value_f is None else value_f * _MICRO
    low, high = constant("worn_capacitance_low"), constant("worn_capacitance_high")
    yield ReadingLimit(
        "capacitance",
        "C",
        "µF",
        _fields("capacitance_uf", *groups),
        low=value_uf * low if value_uf else None,
        remark_high=value_uf * high if value_uf else None,
        why=f"below {plain(100 * low)} % of the marking it is faulty, above {plain(100 * high)} % leakage is likely",
        source=constant_source("worn_capacitance_low"),
        limit_known=value_uf is not None,
    )
    if position.body.kind in _LOSSY:
        yield _old_esr(position, groups)
    if reformed:
        yield _reformed_leakage(value_f, rated_v, groups)


def _old_esr(position: Position, groups: tuple[str, ...]) -> ReadingLimit:
    value_f, rated_v = position.capacitance_f, position.rated_voltage_v
    ceiling = None
    if value_f and rated_v:
        ceiling = esr_ceiling(esr_series(position.body.mounting, position.body.kind), value_f, rated_v)
    worn = constant("esr_doubtful_factor")
    return ReadingLimit(
        "esr",
        "ESR",
        "Ω",
        _fields("esr_ohm", *groups),
        high=ceiling * worn if ceiling else None,
        remark_high=ceiling,
        why="a new part's ceiling at 120 Hz calls for a remark, twice that is too much",
        source=constant_source("esr_doubtful_factor"),
        frequency_fields=_fields("esr_frequency_khz", *groups),
        at_hz=TABLE_HZ,
        high_frequency=_guide(ceiling, TABLE_HZ) if ceiling else None,
        limit_known=ceiling is not None,
    )


def _reformed_leakage(value_f: float | None, rated_v: float | None, groups: tuple[str, ...]) -> ReadingLimit:
    limit_ua = None
    if value_f and rated_v:
        limit_ua = accept_leakage_a(value_f, rated_v) * _MICRO
    return ReadingLimit(
        "leakage",
        "Leakage",
        "µA",
        _fields("leakage_ua", *groups),
        high=limit_ua,
        why="0.01·C·U + 3 µA at rated voltage, and still falling",
        source=constant_source("reform_leakage_factor_per_s"),
        limit_known=limit_ua is not None,
    )


def _fields(name: str, *groups: str) -> tuple[str, ...]:
    return tuple(f"{group}_{name}" for group in groups)
