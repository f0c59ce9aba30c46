"""Which specifications one part can serve: a smallest cover, found exactly.

A candidate is a value and rating (and hole pitch) that some position asks for or that lies in its window. It
covers every specification whose demands it meets. The fewest candidates that cover all of them are chosen by an
integer program; among equal counts the one that raises values and ratings least.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from recap.model import Judgement, Specification
from recap.policy import Policy
from recap.ruledata import table

Members = tuple[Judgement, ...]
"""Judgements that share one specification."""

_CLOSE = 1e-9
_TIE_BREAK = 1e-4


@dataclass(frozen=True, slots=True)
class Candidate:
    """A value, a rating and a pitch that may serve several specifications."""

    capacitance_f: float
    rated_voltage_v: float
    spacing_mm: float | None


@dataclass(frozen=True, slots=True)
class Group:
    """A candidate with all that it serves."""

    candidate: Candidate
    members: tuple[Members, ...]

    @property
    def specifications(self) -> tuple[Specification, ...]:
        """The distinct specifications served."""
        return tuple(_spec(members) for members in self.members)


def groups_of(members: Sequence[Members], policy: Policy) -> list[Group]:
    """Return the fewest groups that cover all members."""
    families: dict[tuple[object, ...], list[Members]] = defaultdict(list)
    for item in members:
        families[_family(_spec(item))].append(item)
    return [group for family in families.values() for group in _cover(family, policy)]


def _spec(members: Members) -> Specification:
    specification = members[0].specification
    assert specification is not None
    return specification


def _family(spec: Specification) -> tuple[object, ...]:
    """Return what must be equal for two specifications to share a part at all."""
    return (
        spec.kinds[0], spec.mounting, spec.safety_classes, spec.ac, spec.pieces, spec.arrangement,
        spec.ripple_frequency_hz, spec.esr_min_ohm, spec.notes,
    )  # fmt: skip


def _cover(family: list[Members], policy: Policy) -> list[Group]:
    specs = [_spec(members) for members in family]
    steps = int(policy.number("buying", "merge_voltage_steps"))
    columns: dict[tuple[int, ...], tuple[float, Candidate]] = {}
    for candidate in _candidates(specs):
        served = tuple(index for index, spec in enumerate(specs) if serves(candidate, spec, steps))
        if not served:
            continue
        cost = sum(_uplift(candidate, specs[index]) for index in served)
        if served not in columns or cost < columns[served][0]:
            columns[served] = (cost, candidate)
    chosen = _smallest_cover(len(specs), list(columns), [cost for cost, _ in columns.values()])
    candidates = list(columns.values())
    serving: dict[int, list[Members]] = defaultdict(list)
    for index, item in enumerate(family):
        able = [column for column in chosen if index in list(columns)[column]]
        serving[min(able, key=lambda column: _uplift(candidates[column][1], specs[index]))].append(item)
    return [Group(candidates[column][1], tuple(items)) for column, items in serving.items()]


def _candidates(specs: Sequence[Specification]) -> list[Candidate]:
    values = sorted({spec.capacitance_f for spec in specs})
    ratings = sorted({spec.rated_voltage_v for spec in specs})
    pitches: set[float | None] = {pitch for spec in specs for pitch in spec.lead_spacings_mm}
    if any(not spec.lead_spacings_mm for spec in specs):
        pitches.add(None)
    ordered = sorted(pitches, key=lambda pitch: (pitch is None, pitch or 0.0))
    return [Candidate(value, rating, pitch) for value in values for rating in ratings for pitch in ordered]


def serves(candidate: Candidate, spec: Specification, voltage_steps: int) -> bool:
    """Return whether a part of the candidate's value, rating and pitch meets a specification.

    A rating above the one asked for needs a body that fits: as large a can as such a charge usually takes.
    """
    low, high = spec.capacitance_window_f
    if not low * (1 - _CLOSE) <= candidate.capacitance_f <= high * (1 + _CLOSE):
        return False
    if candidate.rated_voltage_v < spec.rated_voltage_v * (1 - _CLOSE):
        return False
    if candidate.spacing_mm is None:
        if spec.lead_spacings_mm:
            return False
    elif candidate.spacing_mm not in spec.lead_spacings_mm:
        return False
    return _steps_up(spec.rated_voltage_v, candidate.rated_voltage_v) <= voltage_steps and _room(candidate, spec)


def _steps_up(low: float, high: float) -> int:
    common = [float(row["rated_voltage_v"]) for row in table("rated_voltages") if row["common"] == "yes"]
    return sum(1 for rating in common if low < rating <= high)


def _room(candidate: Candidate, spec: Specification) -> bool:
    asked = spec.capacitance_f * spec.rated_voltage_v
    charge = candidate.capacitance_f * candidate.rated_voltage_v
    if charge <= asked * (1 + _CLOSE) or spec.diameter_max_mm is None or spec.height_max_mm is None:
        return True
    volume_cm3 = math.pi / 4 * spec.diameter_max_mm**2 * spec.height_max_mm / 1000
    density, smallest = _usual_can()
    return volume_cm3 >= max(charge * 1000 / density, smallest)


def _usual_can() -> tuple[float, float]:
    rows = {row["name"]: float(row["value"]) for row in table("usual_can")}
    return rows["charge_per_volume"], rows["smallest_volume"]


def _uplift(candidate: Candidate, spec: Specification) -> float:
    """Return how far a candidate lies from what was asked: in value, in rating and in pitch."""
    value = abs(math.log(candidate.capacitance_f / spec.capacitance_f))
    rating = math.log(candidate.rated_voltage_v / spec.rated_voltage_v)
    formed = bool(spec.lead_spacings_mm) and candidate.spacing_mm != spec.lead_spacings_mm[0]
    return value + rating + (0.5 if formed else 0.0)


def _smallest_cover(rows: int, columns: Sequence[tuple[int, ...]], costs: Sequence[float]) -> list[int]:
    """Return the indices of the fewest columns that cover all rows, cheapest among equals."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_matrix

    if len(columns) == 1:
        return [0]
    entries = [(row, column) for column, served in enumerate(columns) for row in served]
    matrix = csr_matrix(
        (np.ones(len(entries)), ([row for row, _ in entries], [column for _, column in entries])),
        shape=(rows, len(columns)),
    )
    weights = 1 + _TIE_BREAK * np.asarray(costs)
    whole = np.ones(len(columns), dtype=int)
    found = milp(weights, constraints=LinearConstraint(matrix, lb=1), integrality=whole, bounds=Bounds(0, 1))
    assert found.x is not None, "every specification has the candidate made of its own figures"
    return [int(column) for column in np.flatnonzero(found.x > 0.5)]


def merge(group: Group) -> Specification:
    """Return the one specification that meets every member: the tightest of each plain figure."""
    specs = group.specifications
    first = specs[0]
    pitches = [p for p in first.lead_spacings_mm if all(p in spec.lead_spacings_mm for spec in specs)]
    wanted = group.candidate.spacing_mm
    ordered = tuple(p for p in (wanted, *(q for q in pitches if q != wanted)) if p is not None)
    return replace(
        first,
        capacitance_f=group.candidate.capacitance_f,
        capacitance_window_f=(
            max(spec.capacitance_window_f[0] for spec in specs),
            min(spec.capacitance_window_f[1] for spec in specs),
        ),
        rated_voltage_v=group.candidate.rated_voltage_v,
        kinds=tuple(kind for kind in first.kinds if all(kind in spec.kinds for spec in specs)),
        upper_category_temperature_c=_tightest(max, (s.upper_category_temperature_c for s in specs)),
        endurance_h=_tightest(max, (s.endurance_h for s in specs)),
        endurance_temperature_c=_tightest(max, (s.endurance_temperature_c for s in specs)),
        lead_spacings_mm=ordered,
        diameter_max_mm=_tightest(min, (s.diameter_max_mm for s in specs)),
        height_max_mm=_tightest(min, (s.height_max_mm for s in specs)),
        lead_diameter_max_mm=_tightest(min, (s.lead_diameter_max_mm for s in specs)),
        ripple_current_a=_tightest(max, (s.ripple_current_a for s in specs)),
        esr_max_ohm=_tightest(min, (s.esr_max_ohm for s in specs)),
        esr_frequency_hz=_tightest(max, (s.esr_frequency_hz for s in specs)),
    )


def _tightest(choose: object, values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    if not known:
        return None
    return max(known) if choose is max else min(known)
