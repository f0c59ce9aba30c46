"""What is to be done: a judgement per position, order lines, sundries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from recap.model.bench import BringUp, MakeSafe
from recap.model.inspection import Inspection, Position, PositionKey
from recap.model.requirement import Contradiction, Input, NotAssessed, Reason, Requirement
from recap.model.vocabulary import Basis, Decision, PlusAt

if TYPE_CHECKING:
    from recap.model.purchase import Bought, Purchase


@dataclass(frozen=True, slots=True)
class LifeEstimate:
    """Low, nominal and high estimate in hours of use, with all that led to it.

    `model` is the nominal one; `models` holds each model's own figure before the ceiling with its source;
    `clamps` what limited them; `narrower` the readings that would narrow the range.
    """

    low_h: float
    nominal_h: float
    high_h: float
    model: str
    basis: Basis
    models: tuple[tuple[str, float, str], ...] = ()
    inputs: tuple[Input, ...] = ()
    clamps: tuple[str, ...] = ()
    narrower: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Orientation:
    """Which way round: words only when the net is known and no witness contradicts it.

    `plus_at` says the same for drawings: pad A or the other pad; None wherever `text` is None.
    """

    text: str | None
    conflicts: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    plus_at: PlusAt | None = None


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a part meets at a position: the inputs of derived quantities such as estimated life."""

    ambient_temperature_c: float
    working_voltage_v: float | None = None
    ripple_current_a: float | None = None
    ripple_frequency_hz: float | None = None
    use_h_per_year: float = 0.0
    endurance_temperature_c: float | None = None
    """The temperature at which demands on endurance are stated."""
    ambient_basis: Basis = Basis.ASSUMED


@dataclass(frozen=True, slots=True)
class Specification:
    """A part to ask for; None where nothing is demanded. Lengths in mm."""

    capacitance_f: float
    capacitance_window_f: tuple[float, float]
    rated_voltage_v: float
    kinds: tuple[str, ...]
    mounting: str
    upper_category_temperature_c: float | None = None
    endurance_h: float | None = None
    endurance_temperature_c: float | None = None
    lead_spacings_mm: tuple[float, ...] = ()
    """Allowed hole pitches, the drilled one first; empty when unknown."""
    diameter_max_mm: float | None = None
    height_max_mm: float | None = None
    lead_diameter_max_mm: float | None = None
    ripple_current_a: float | None = None
    ripple_frequency_hz: float | None = None
    esr_max_ohm: float | None = None
    esr_min_ohm: float | None = None
    esr_frequency_hz: float | None = None
    safety_classes: tuple[str, ...] = ()
    ac: bool = False
    pieces: int = 1
    """How many such parts one position takes (a parallel pair takes two)."""
    arrangement: str = "single"
    notes: tuple[str, ...] = ()
    esr_min_frequency_hz: float | None = None
    """Where the floor of the ESR holds, which may be elsewhere than the ceiling."""
    lower_category_temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """Everything decided about one position.

    `decision` is what to do now; `meant` is the decision but for what stops it, so that a part is bought
    for a position whose polarity is still to be settled. `specification` is also given where a reading may yet
    call for a new part. `stops` are sentences that must be settled first.
    """

    position: Position
    decision: Decision
    meant: Decision
    reasons: tuple[Reason, ...]
    rank: float
    requirements: tuple[Requirement, ...] = ()
    not_assessed: tuple[NotAssessed, ...] = ()
    contradictions: tuple[Contradiction, ...] = ()
    orientation: Orientation = Orientation(None)
    stops: tuple[str, ...] = ()
    specification: Specification | None = None
    life_as_found: LifeEstimate | None = None
    life_planned: LifeEstimate | None = None
    conditions: Conditions | None = None
    hazards: tuple[str, ...] = ()
    fitting_notes: tuple[str, ...] = ()

    @property
    def key(self) -> PositionKey:
        """The position's name."""
        return self.position.key


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One specification to buy, for all the positions it serves."""

    id: str
    specification: Specification
    positions: tuple[PositionKey, ...]
    needed: int
    spares: int
    merge_notes: tuple[str, ...] = ()
    may_differ: tuple[str, ...] = ()
    bought: Bought | None = None
    """The part chosen from catalogues, where there are any that serve."""

    @property
    def quantity(self) -> int:
        """Pieces to buy."""
        return self.needed + self.spares


@dataclass(frozen=True, slots=True)
class Sundry:
    """Something to buy or have at hand beside capacitors."""

    item: str
    amount: str
    why: str


@dataclass(frozen=True, slots=True)
class BoardWork:
    """The work order of one board: what to settle first, then the steps in working order, then what stays."""

    unit: str
    board: str
    stops: tuple[Judgement, ...]
    steps: tuple[Judgement, ...]
    left_alone: tuple[Judgement, ...]
    do_not_fit: tuple[Position, ...] = ()


@dataclass(frozen=True, slots=True)
class RandomFailures:
    """A cross-check: how often one of a unit's sound wet parts fails by chance, beside wear.

    Pairs stand for the newer and the older edition of the handbook; probabilities are over `years` at the unit's
    hours of use, and over the rest of that time switched off.
    """

    unit: str
    parts: int
    rates_per_1e6_h: tuple[float, float]
    dormant_rate_per_1e6_h: float
    probability_in_use: tuple[float, float]
    probability_switched_off: float
    years: float
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One reading to take, the positions it touches, and what changes for which outcome; `worth` only ranks."""

    reading: str
    positions: tuple[PositionKey, ...]
    how: str
    caution: str
    outcomes: tuple[tuple[str, str], ...]
    """Pairs of outcome and what the plan then says."""
    worth: float


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that differs from an earlier plan; `before` and `after` are None where it was not there."""

    subject: str
    """A position, a contested rule, a unit, or the order."""
    what: str
    before: str | None
    after: str | None
    why: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole job."""

    inspection: Inspection
    policy: str
    policy_choices: tuple[tuple[str, str], ...]
    """Contested rules and the choice that was made, for showing."""
    judgements: tuple[Judgement, ...]
    lines: tuple[OrderLine, ...]
    sundries: tuple[Sundry, ...]
    work: tuple[BoardWork, ...]
    lines_if_failed: tuple[OrderLine, ...] = ()
    """What to buy besides if every part that is to be measured or reformed fails."""
    suggestions: tuple[Suggestion, ...] = ()
    """What to measure next, the most telling first."""
    make_safe: tuple[MakeSafe, ...] = ()
    """What may be charged: each unit as a whole, then each of its boards."""
    bring_up: tuple[BringUp, ...] = ()
    """The first power of each unit."""
    random_failures: tuple[RandomFailures, ...] = ()
    """One cross-check a unit."""
    purchase: Purchase | None = None
    """What is paid to whom, where parts were chosen from catalogues."""
    changes: tuple[Change, ...] | None = None
    """What differs from an earlier plan, where it was held against one."""
