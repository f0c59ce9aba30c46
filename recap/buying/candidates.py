"""A part that might serve several specifications, and whether it serves one: value, rating, pitch, test, body."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from recap.formulas.preferred import series_around
from recap.model import Mounting, Specification
from recap.policy import Policy
from recap.ruledata import Row, table

_CLOSE = 1e-9
_COMMON_SERIES = "E6"
_FORMED = 0.5  # what forming the leads weighs beside the logarithm of a change in value or volts


@dataclass(frozen=True, slots=True)
class StatedAt:
    """The conditions of a part's loss and ripple figures: frequencies, and the floor of the ESR. None asks nothing.

    Figures at different frequencies are never held against each other, so a part has one of each.
    """

    ripple_frequency_hz: float | None = None
    esr_frequency_hz: float | None = None
    esr_min_frequency_hz: float | None = None
    esr_min_ohm: float | None = None


@dataclass(frozen=True, slots=True)
class Can:
    """The body that a candidate is thought to come in; infinite where nothing limits it."""

    diameter_mm: float = 0.0
    length_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A value, a rating, a pitch, test conditions and a body that may serve several specifications."""

    capacitance_f: float
    rated_voltage_v: float
    spacing_mm: float | None
    test: StatedAt = StatedAt()
    can: Can = Can()


@dataclass(frozen=True, slots=True)
class Want:
    """A specification with how many positions share it, and whether its value is held as it is."""

    specification: Specification
    positions: int = 1
    held: bool = False


@dataclass(frozen=True, slots=True)
class Limits:
    """How far a line may go beyond what a position asks for."""

    voltage_steps: int
    value_uplift: float

    @classmethod
    def of(cls, policy: Policy) -> Limits:
        """Return a policy's limits."""
        steps = int(policy.number("buying", "merge_voltage_steps"))
        return cls(steps, policy.number("buying", "merge_value_uplift"))


def serves(candidate: Candidate, want: Want, limits: Limits) -> bool:
    """Return whether a part of the candidate's figures meets a specification without straining what it asks for."""
    spec = want.specification
    return (
        value_serves(candidate.capacitance_f, want, limits)
        and rating_serves(candidate.rated_voltage_v, spec, limits)
        and pitch_serves(candidate.spacing_mm, spec)
        and stated_serves(candidate.test, spec)
        and can_serves(candidate.can, spec)
    )


def value_serves(capacitance_f: float, want: Want, limits: Limits) -> bool:
    """Within the window, no higher than the policy raises it, and not moved at all where the role holds it."""
    spec = want.specification
    if want.held:
        return math.isclose(capacitance_f, spec.capacitance_f, rel_tol=_CLOSE)
    low, high = spec.capacitance_window_f
    high = min(high, spec.capacitance_f * (1 + limits.value_uplift))
    return low * (1 - _CLOSE) <= capacitance_f <= high * (1 + _CLOSE)


def rating_serves(rated_voltage_v: float, spec: Specification, limits: Limits) -> bool:
    """At least the rating asked for, and few standard steps above it."""
    if rated_voltage_v < spec.rated_voltage_v * (1 - _CLOSE):
        return False
    steps = sum(1 for rating in _common_ratings() if spec.rated_voltage_v < rating <= rated_voltage_v)
    return steps <= limits.voltage_steps


def pitch_serves(spacing_mm: float | None, spec: Specification) -> bool:
    """The drilled spacing, or one step of the grid away; a part for measured holes is not promised to fit others.

    Axial leads are bent to any holes that the body's length leaves room for.
    """
    drilled = drilled_mm(spec)
    if spacing_mm is None or drilled is None:
        return spacing_mm is drilled
    return spacing_mm in spec.lead_spacings_mm and _grid_steps(spacing_mm, drilled) <= 1


def drilled_mm(spec: Specification) -> float | None:
    """Return the lead spacing that needs no forming; None where none is known or any will do."""
    if spec.mounting == Mounting.AXIAL or not spec.lead_spacings_mm:
        return None
    return spec.lead_spacings_mm[0]


def stated_serves(test: StatedAt, spec: Specification) -> bool:
    """Figures stated where the specification states them, and a floor of the ESR under its ceiling."""
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


def can_serves(can: Can, spec: Specification) -> bool:
    """The body goes into the room."""
    room = own_can(spec)
    return can.diameter_mm <= room.diameter_mm + _CLOSE and can.length_mm <= room.length_mm + _CLOSE


def own_can(spec: Specification) -> Can:
    """Return the largest body that a specification allows."""
    return Can(
        math.inf if spec.diameter_max_mm is None else spec.diameter_max_mm,
        math.inf if spec.height_max_mm is None else spec.height_max_mm,
    )


def usual_cans(capacitance_f: float, rated_voltage_v: float, spec: Specification) -> list[Can]:
    """Return the bodies in which such a charge is usually sold, one a diameter of the size table.

    Empty where no sizes are at hand for the mounting.
    """
    usual = _usual(spec.kinds[0], spec.mounting, rated_voltage_v)
    if usual is None:
        return []
    charge_mc = capacitance_f * rated_voltage_v * 1000
    volume_cm3 = max(charge_mc / float(usual["charge_per_volume_mc_cm3"]), float(usual["smallest_volume_cm3"]))
    stoutest, slenderest = float(usual["shortest_to_diameter"]), float(usual["longest_to_diameter"])
    found = []
    for diameter in _diameters_mm(spec.mounting):
        filled = volume_cm3 * 1000 / (math.pi / 4 * diameter**2)
        length = max(filled, float(usual["shortest_mm"]), stoutest * diameter)
        if length <= slenderest * diameter:
            found.append(Can(diameter, length))
    return found


def uplift(candidate: Candidate, spec: Specification) -> float:
    """Return how far a candidate lies from what was asked: in value, in rating and in pitch."""
    value = abs(math.log(candidate.capacitance_f / spec.capacitance_f))
    rating = math.log(candidate.rated_voltage_v / spec.rated_voltage_v)
    formed = candidate.spacing_mm != drilled_mm(spec)
    return value + rating + (_FORMED if formed else 0.0)


def values_of(specs: Sequence[Specification]) -> list[float]:
    """Return the values that specifications ask for, and common ones in the windows of at least two, rising."""
    asked = {spec.capacitance_f for spec in specs}
    significands = [float(row["significand"]) for row in table("e_series") if row["series"] == _COMMON_SERIES]
    near = {value for spec in specs for value in series_around(spec.capacitance_f, significands)}
    common = {value for value in near if sum(_in_window(value, spec) for spec in specs) > 1}
    fresh = {value for value in common if not any(math.isclose(value, each, rel_tol=_CLOSE) for each in asked)}
    return sorted(asked | fresh)


def _in_window(capacitance_f: float, spec: Specification) -> bool:
    low, high = spec.capacitance_window_f
    return low * (1 - _CLOSE) <= capacitance_f <= high * (1 + _CLOSE)


def stated_of(specs: Sequence[Specification]) -> list[StatedAt]:
    """Return every combination of test conditions that the specifications name, in a fixed order."""
    floors = {(spec.esr_min_frequency_hz, spec.esr_min_ohm) for spec in specs}
    found = {
        StatedAt(ripple_hz, esr_hz, floor_hz, floor_ohm)
        for ripple_hz in _named(spec.ripple_frequency_hz for spec in specs)
        for esr_hz in _named(spec.esr_frequency_hz for spec in specs)
        for floor_hz, floor_ohm in floors
    }
    return sorted(found, key=repr)


def _named(values: Iterable[float | None]) -> set[float | None]:
    """Return the values without None, or None alone where there is nothing else."""
    found = set(values)
    return found - {None} or {None}


def _grid_steps(one_mm: float, other_mm: float) -> int:
    low, high = sorted((one_mm, other_mm))
    return sum(1 for spacing in _spacings_mm() if low < spacing <= high)


@cache
def _common_ratings() -> tuple[float, ...]:
    return tuple(float(row["rated_voltage_v"]) for row in table("rated_voltages") if row["common"] == "yes")


@cache
def _spacings_mm() -> tuple[float, ...]:
    rows = [row for row in table("can_sizes") if row["style"] == Mounting.RADIAL]
    return tuple(sorted({float(row["lead_spacing_mm"]) for row in rows}))


@cache
def _diameters_mm(mounting: str) -> tuple[float, ...]:
    return tuple(float(row["diameter_mm"]) for row in table("can_sizes") if row["style"] == mounting)


@cache
def _usual(kind: str, mounting: str, rated_voltage_v: float) -> Row | None:
    """Return the row of the kind, of its mounting before the general one, of the highest voltage that is reached."""
    rows = [row for row in table("usual_can") if row["kind"] == kind and row["mounting"] in ("", mounting)]
    reached = [row for row in rows if float(row["from_v"]) <= rated_voltage_v]
    return max(reached, key=lambda row: (row["mounting"], float(row["from_v"])), default=None)
