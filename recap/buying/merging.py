"""Which specifications one part can serve: a smallest cover, found exactly.

A candidate is a value and rating (with a hole pitch, and the frequencies at which ripple and ESR are stated) that
some position asks for, or a common value in two windows. It covers every specification whose demands it meets. The
fewest candidates that cover all of them are chosen by an integer program; among equal counts the one that raises
values and ratings least.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from recap.formulas.preferred import series_around
from recap.model import Judgement, Specification
from recap.policy import Policy
from recap.ruledata import table

Members = tuple[Judgement, ...]
"""Judgements that share one specification."""

_CLOSE = 1e-9
_TIE_BREAK = 1e-4
_COMMON_SERIES = "E6"


@dataclass(frozen=True, slots=True)
class TestConditions:
    """The conditions of a part's loss and ripple figures: frequencies, and the floor of the ESR. None asks nothing.

    Figures at different frequencies are never held against each other, so a part has one of each.
    """

    ripple_frequency_hz: float | None = None
    esr_frequency_hz: float | None = None
    esr_min_frequency_hz: float | None = None
    esr_min_ohm: float | None = None


@dataclass(frozen=True, slots=True)
class Candidate:
    """A value, a rating, a pitch and test conditions that may serve several specifications."""

    capacitance_f: float
    rated_voltage_v: float
    spacing_mm: float | None
    test: TestConditions = TestConditions()


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
    """Return what must be equal for two specifications to share a part at all; mains parts share within a class."""
    return (
        spec.kinds[0], spec.mounting, spec.safety_classes, spec.ac, spec.pieces, spec.arrangement,
        spec.endurance_temperature_c, spec.notes,
    )  # fmt: skip


def _cover(family: list[Members], policy: Policy) -> list[Group]:
    specs = [_spec(members) for members in family]
    columns = _columns(specs, int(policy.number("buying", "merge_voltage_steps")))
    served, candidates = list(columns), [candidate for _, candidate in columns.values()]
    chosen = _smallest_cover(len(specs), served, [cost for cost, _ in columns.values()])
    serving: dict[int, list[Members]] = defaultdict(list)
    for index, item in enumerate(family):
        able = [column for column in chosen if index in served[column]]
        serving[min(able, key=lambda column: _uplift(candidates[column], specs[index]))].append(item)
    return [Group(candidates[column], tuple(items)) for column, items in serving.items()]


def _columns(specs: Sequence[Specification], steps: int) -> dict[tuple[int, ...], tuple[float, Candidate]]:
    """Return each set of specifications that one candidate serves, with the candidate that changes least."""
    columns: dict[tuple[int, ...], tuple[float, Candidate]] = {}
    for candidate in _candidates(specs):
        served = tuple(index for index, spec in enumerate(specs) if serves(candidate, spec, steps))
        if not served:
            continue
        cost = sum(_uplift(candidate, specs[index]) for index in served)
        if served not in columns or cost < columns[served][0]:
            columns[served] = (cost, candidate)
    return columns


def _candidates(specs: Sequence[Specification]) -> Iterator[Candidate]:
    """Yield every candidate worth trying: the figures some specification asks for, and common values in windows."""
    values = sorted({spec.capacitance_f for spec in specs} | _common_values(specs))
    ratings = sorted({spec.rated_voltage_v for spec in specs})
    pitches: set[float | None] = {pitch for spec in specs for pitch in spec.lead_spacings_mm}
    if any(not spec.lead_spacings_mm for spec in specs):
        pitches.add(None)
    ordered = sorted(pitches, key=lambda pitch: (pitch is None, pitch or 0.0))
    for value in values:
        near = [spec for spec in specs if _in_window(value, spec)]
        for test in _tests(near):
            for rating in ratings:
                for pitch in ordered:
                    yield Candidate(value, rating, pitch, test)


def _common_values(specs: Sequence[Specification]) -> set[float]:
    """Return the common values that lie in the windows of at least two specifications."""
    significands = [float(row["significand"]) for row in table("e_series") if row["series"] == _COMMON_SERIES]
    near = {value for spec in specs for value in series_around(spec.capacitance_f, significands)}
    return {value for value in near if sum(_in_window(value, spec) for spec in specs) > 1}


def _tests(specs: Sequence[Specification]) -> set[TestConditions]:
    """Return every combination of test conditions that the specifications name."""
    floors = {(spec.esr_min_frequency_hz, spec.esr_min_ohm) for spec in specs}
    return {
        TestConditions(ripple_hz, esr_hz, floor_hz, floor_ohm)
        for ripple_hz in _named(spec.ripple_frequency_hz for spec in specs)
        for esr_hz in _named(spec.esr_frequency_hz for spec in specs)
        for floor_hz, floor_ohm in floors
    }


def _named(values: Iterable[float | None]) -> set[float | None]:
    """Return the values without None, or None alone where there is nothing else."""
    found = set(values)
    return found - {None} or {None}


def serves(candidate: Candidate, spec: Specification, voltage_steps: int) -> bool:
    """Return whether a part of the candidate's value, rating, pitch and test conditions meets a specification.

    A rating above the one asked for needs a body that fits: as large a can as such a charge usually takes.
    """
    return (
        _in_window(candidate.capacitance_f, spec)
        and candidate.rated_voltage_v >= spec.rated_voltage_v * (1 - _CLOSE)
        and _pitch_fits(candidate.spacing_mm, spec)
        and _tested_alike(candidate.test, spec)
        and _steps_up(spec.rated_voltage_v, candidate.rated_voltage_v) <= voltage_steps
        and _room(candidate, spec)
    )


def _in_window(capacitance_f: float, spec: Specification) -> bool:
    low, high = spec.capacitance_window_f
    return low * (1 - _CLOSE) <= capacitance_f <= high * (1 + _CLOSE)


def _pitch_fits(spacing_mm: float | None, spec: Specification) -> bool:
    """A part for measured holes is not promised to fit unmeasured ones, nor the reverse."""
    return spacing_mm in spec.lead_spacings_mm if spacing_mm is not None else not spec.lead_spacings_mm


def _tested_alike(test: TestConditions, spec: Specification) -> bool:
    if spec.ripple_frequency_hz not in (None, test.ripple_frequency_hz):
        return False
    if spec.esr_frequency_hz not in (None, test.esr_frequency_hz):
        return False
    if spec.esr_min_ohm is not None and (
        test.esr_min_ohm is None
        or spec.esr_min_frequency_hz != test.esr_min_frequency_hz
        or spec.esr_min_ohm > test.esr_min_ohm * (1 + _CLOSE)
    ):
        return False
    if test.esr_min_ohm is None or spec.esr_max_ohm is None or spec.esr_frequency_hz != test.esr_min_frequency_hz:
        return True
    return test.esr_min_ohm <= spec.esr_max_ohm * (1 + _CLOSE)


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
        lead_spacings_mm=ordered,
        diameter_max_mm=_tightest(min, (s.diameter_max_mm for s in specs)),
        height_max_mm=_tightest(min, (s.height_max_mm for s in specs)),
        lead_diameter_max_mm=_tightest(min, (s.lead_diameter_max_mm for s in specs)),
        ripple_current_a=_tightest(max, (s.ripple_current_a for s in specs)),
        ripple_frequency_hz=_common(s.ripple_frequency_hz for s in specs),
        esr_max_ohm=_tightest(min, (s.esr_max_ohm for s in specs)),
        esr_frequency_hz=_common(s.esr_frequency_hz for s in specs),
        esr_min_ohm=_tightest(max, (s.esr_min_ohm for s in specs)),
        esr_min_frequency_hz=_common(s.esr_min_frequency_hz for s in specs),
        lower_category_temperature_c=_tightest(min, (s.lower_category_temperature_c for s in specs)),
    )


def _tightest(choose: Callable[[list[float]], float], values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return choose(known) if known else None


def _common(values: Iterable[float | None]) -> float | None:
    """Return the one figure that all who name one share."""
    return next((value for value in values if value is not None), None)
