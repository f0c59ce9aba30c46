"""What happens at the bench: stored charge, loads, limits of rails, the order of refitting, all as data."""

from __future__ import annotations

from dataclasses import dataclass

from recap.model.inspection import PositionKey
from recap.model.vocabulary import Basis


@dataclass(frozen=True, slots=True)
class PassedThreshold:
    """A published limit that a charge reaches."""

    id: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class ChargedPosition:
    """One position with the charge that it may hold by itself."""

    key: PositionKey
    capacitance_f: float
    voltage_v: float
    basis: Basis
    energy_j: float
    passed: tuple[PassedThreshold, ...]


@dataclass(frozen=True, slots=True)
class Discharge:
    """A resistor for one charge: what it bears, how long it takes, what may come back."""

    resistance_ohm: float
    rating_w: float
    kind: str
    initial_power_w: float
    time_constant_s: float
    times_s: tuple[tuple[float, float], ...]
    """Pairs of the voltage to reach and the time to it."""
    hold_s: float
    """How long the resistor stays on at least."""
    rebound_v: tuple[float, float]
    rebound_wait_s: float
    quick: bool
    """Whether one resistor as sold is as quick as the usual limits ask."""


@dataclass(frozen=True, slots=True)
class ChargedBank:
    """Capacitors that charge and discharge as one, or a single one."""

    name: str
    rail: str
    arrangement: str
    members: tuple[ChargedPosition, ...]
    capacitance_f: float
    voltage_v: float
    voltage_why: str
    basis: Basis
    energy_j: float
    passed: tuple[PassedThreshold, ...]
    discharge: Discharge
    measure_at: str
    notable: bool
    """Whether it reaches a published threshold or stands above the voltage where a discharge counts as done."""


@dataclass(frozen=True, slots=True)
class CommonResistor:
    """One resistor that takes the charge of every notable bank in turn, each from cold."""

    resistance_ohm: float
    rating_w: float
    kind: str
    slowest_s: float
    """Time of the slowest bank down to the voltage where a discharge counts as done."""


@dataclass(frozen=True, slots=True)
class MakeSafe:
    """What may be charged in a unit, or on one of its boards; an empty board name means the whole unit."""

    unit: str
    board: str
    banks: tuple[ChargedBank, ...]
    energy_j: float
    worst_voltage_v: float | None
    between_rails: tuple[str, ...]
    not_known: tuple[tuple[PositionKey, str], ...]
    """Positions whose charge cannot be worked out, each with what is missing."""
    common_resistor: CommonResistor | None
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    out_of_scope: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Limit:
    """A reading's limits with where they come from; None where a side is open."""

    low: float | None
    high: float | None
    unit: str
    basis: Basis
    source: str
    why: str


@dataclass(frozen=True, slots=True)
class BenchResistor:
    """A load resistor: the value to take, what flows, what it must bear; no rating where one body is too small."""

    wanted_ohm: float
    preferred_ohm: float
    current_a: float
    power_w: float
    rating_w: float | None
    kind: str
    drawer: str = ""
    """What the parts drawer offers for it, in words; empty without a drawer list or a fitting combination."""


@dataclass(frozen=True, slots=True)
class LampLoad:
    """A filament lamp as a load: hot current, and what it draws cold."""

    power_w: float
    current_a: float
    surge_a: tuple[float, float]
    caution: str


@dataclass(frozen=True, slots=True)
class RailLoad:
    """The dummy loads of one rail."""

    least: BenchResistor | None
    full: BenchResistor | None
    lamp: LampLoad | None
    least_assumed: bool
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RipplePattern:
    """What a look of the ripple points to."""

    looks: str
    points_to: str
    source: str


@dataclass(frozen=True, slots=True)
class RailProof:
    """How one rail is proven: direct voltage and ripple at every state, nothing by a meter alone."""

    name: str
    nominal_v: float | None
    other_side: str
    live: bool
    """Whether its other side is on the mains side."""
    made_on: str
    feeds: tuple[str, ...]
    window: Limit | None
    light_window: Limit | None
    """The window at least load; wider for a rail that is not regulated."""
    ripple: Limit | None
    frequency_hz: float | None
    frequency_why: str
    patterns: tuple[RipplePattern, ...]
    states: tuple[str, ...]
    resistance: Limit | None
    load: RailLoad
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BenchCheck:
    """Something to do and confirm; with limits where a reading belongs to it."""

    id: str
    group: str
    text: str
    why: str
    source: str
    limit: Limit | None = None


@dataclass(frozen=True, slots=True)
class LampPoint:
    """Where a lamp and a load settle."""

    load: str
    load_w: float
    load_voltage_v: float
    current_a: float
    stable: bool


@dataclass(frozen=True, slots=True)
class LampChoice:
    """One lamp with its operating points at each load; a load without any point is named as such."""

    power_w: float
    voltage_v: float
    short_circuit_a: float
    points: tuple[LampPoint, ...]
    no_point: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LampLimiter:
    """The series lamp for a unit's first power."""

    switching: bool
    constant_power: bool
    expected_w: tuple[tuple[str, float], ...]
    """Pairs of the load's name and the power taken from the mains."""
    lamps: tuple[LampChoice, ...]
    notes: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReformStage:
    """One voltage of a reforming, how long, and what to look at."""

    voltage_v: float
    minutes: float
    watch: str


@dataclass(frozen=True, slots=True)
class ReformJob:
    """How one part that stays is brought back, out of its circuit."""

    key: PositionKey
    capacitance_f: float
    voltage_v: float
    resistance_ohm: float
    rating_w: float | None
    resistor_kind: str
    shorted_power_w: float
    current_limit_a: float
    stages: tuple[ReformStage, ...]
    accept_leakage_a: float
    discharge_ohm: float
    source: str
    in_work_order: bool
    """Whether the board's work order has a step for it, and so the place for its leakage."""


@dataclass(frozen=True, slots=True)
class RefitStage:
    """One board goes back; a hold names who must release it and what must be proven before."""

    board: str
    after: tuple[str, ...]
    rails: tuple[str, ...]
    """Rails to measure again once it is in."""
    why: str
    hold: str


@dataclass(frozen=True, slots=True)
class BringUp:
    """The first power of one unit, from the last look before it to the last board."""

    unit: str
    checks: tuple[BenchCheck, ...]
    isolation: tuple[str, ...]
    limiter: LampLimiter
    rails: tuple[RailProof, ...]
    method: tuple[str, ...]
    power_up: tuple[str, ...]
    soak: tuple[BenchCheck, ...]
    reforms: tuple[ReformJob, ...]
    not_reformed: tuple[tuple[PositionKey, str], ...]
    stages: tuple[RefitStage, ...]
    cautions: tuple[str, ...]
    missing: tuple[str, ...]
