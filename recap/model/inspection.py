"""What was found: units, boards, rails and positions, as recorded before anything is decided."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from recap.model.vocabulary import (
    POLAR_KINDS,
    Condition,
    Decision,
    Downstream,
    Face,
    Kind,
    Legible,
    MarkMeaning,
    Mounting,
    NetBy,
    PlusAt,
    Role,
    Stance,
    SupplyKind,
    Tristate,
)
from recap.problems import Location


class PositionKey(NamedTuple):
    """The name of one capacitor's place: unit, board, designator and, in a multi-section can, the section."""

    unit: str
    board: str
    designator: str
    section: str = ""

    def __str__(self) -> str:
        return "/".join(part for part in self if part)


@dataclass(frozen=True, slots=True)
class Marked:
    """What the body says."""

    capacitance_f: float | None = None
    rated_voltage_v: float | None = None
    ac: bool | None = None
    tolerance: tuple[float, float] | None = None
    """Signed fractions, low then high: (-0.1, 0.5) for −10/+50 %."""
    temperature_c: float | None = None
    endurance_h: float | None = None
    text: str = ""
    date_code: str = ""
    year: int | None = None
    legible: Legible = Legible.FULLY
    safety_class: str = ""


@dataclass(frozen=True, slots=True)
class Documented:
    """What a schematic, parts list or manual says."""

    capacitance_f: float | None = None
    rated_voltage_v: float | None = None


@dataclass(frozen=True, slots=True)
class Measured:
    """What instruments said, and whether the part was in circuit then."""

    in_circuit: bool | None = None
    capacitance_f: float | None = None
    esr_ohm: float | None = None
    esr_frequency_hz: float | None = None
    leakage_a: float | None = None
    working_voltage_v: float | None = None
    ripple_current_a: float | None = None
    ripple_frequency_hz: float | None = None
    body_temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class Body:
    """Shape and the space around it; lengths in mm, height counted from the board."""

    kind: Kind = Kind.UNKNOWN
    mounting: Mounting = Mounting.UNKNOWN
    diameter_mm: float | None = None
    length_mm: float | None = None
    lead_spacing_mm: float | None = None
    hole_diameter_mm: float | None = None
    terminals: int | None = None
    room_above_mm: float | None = None
    neighbour_gap_mm: float | None = None
    face: Face = Face.PART_SIDE
    x_mm: float | None = None
    y_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Polarity:
    """Three witnesses about the plus side; pad A is named by a landmark such as "nearer U12"."""

    pad_a: str = ""
    silkscreen: PlusAt = PlusAt.NOT_SEEN
    as_found: PlusAt = PlusAt.NOT_SEEN
    net: PlusAt = PlusAt.NOT_SEEN
    net_by: NetBy | None = None


@dataclass(frozen=True, slots=True)
class Position:
    """One row of the Capacitors sheet: a position, or a section of a multi-section can."""

    key: PositionKey
    marked: Marked = Marked()
    documented: Documented = Documented()
    measured: Measured = Measured()
    body: Body = Body()
    polarity: Polarity = Polarity()
    role: Role = Role.UNKNOWN
    rail: str = ""
    conditions: frozenset[Condition] = frozenset()
    quantity: int = 1
    photo: str = ""
    zone: str = ""
    note: str = ""
    override: Decision | None = None
    override_reason: str = ""
    location: Location = Location()

    @property
    def capacitance_f(self) -> float | None:
        """The value on the body, else the documented one."""
        return _first(self.marked.capacitance_f, self.documented.capacitance_f)

    @property
    def rated_voltage_v(self) -> float | None:
        """The rating on the body, else the documented one."""
        return _first(self.marked.rated_voltage_v, self.documented.rated_voltage_v)

    @property
    def polar(self) -> bool:
        """Whether the part has a plus side, or may have one."""
        return self.body.kind in POLAR_KINDS or self.body.kind is Kind.UNKNOWN


@dataclass(frozen=True, slots=True)
class Board:
    """One board of a unit."""

    name: str
    revision: str = ""
    description: str = ""
    air_temperature_c: float | None = None
    rise_over_room_k: float | None = None
    height_limit_mm: float | None = None
    silkscreen_mark: str = ""
    mark_meaning: MarkMeaning = MarkMeaning.NOT_VERIFIED
    verified_how: str = ""
    refit_place: int | None = None
    rails_needed: tuple[tuple[str, float | None], ...] = ()
    """Pairs of rail name and current in A."""
    picture: str = ""
    width_mm: float | None = None
    height_mm: float | None = None
    location: Location = Location()


@dataclass(frozen=True, slots=True)
class Rail:
    """One supply rail of a unit."""

    name: str
    made_on: str = ""
    feeds: tuple[str, ...] = ()
    nominal_v: float | None = None
    other_side: str = "ground"
    tolerance: float | None = None
    """A fraction: 0.05 for ±5 %."""
    ripple_limit_v: float | None = None
    full_load_a: float | None = None
    minimum_load_a: float | None = None
    supply: SupplyKind = SupplyKind.UNKNOWN
    rectifier: str = ""
    """silicon, selenium, or a valve type."""
    ripple_frequency_hz: float | None = None
    secondary_v: float | None = None
    source_resistance_ohm: float | None = None
    esr_sensitive: Tristate = Tristate.UNKNOWN
    location: Location = Location()

    @property
    def negative(self) -> bool:
        """Whether the rail lies below its other side."""
        return self.nominal_v is not None and self.nominal_v < 0


@dataclass(frozen=True, slots=True)
class Unit:
    """One machine on the bench; `assumed` names the fields that nobody filled in."""

    name: str
    serial: str = ""
    year_made: int | None = None
    mains_voltage_v: float | None = None
    mains_frequency_hz: float | None = None
    chassis_isolated: Tristate = Tristate.UNKNOWN
    room_temperature_c: float = 25.0
    use_h_per_year: float = 200.0
    years_wanted: float = 15.0
    stance: Stance = Stance.REPAIR
    downstream: Downstream = Downstream.IRREPLACEABLE
    notes: str = ""
    assumed: frozenset[str] = frozenset()
    boards: tuple[Board, ...] = ()
    rails: tuple[Rail, ...] = ()
    location: Location = Location()

    def board(self, name: str) -> Board:
        """Return the board of that name; a bare one when the Boards sheet does not list it."""
        return next((board for board in self.boards if board.name == name), Board(name=name))

    def rail(self, name: str) -> Rail | None:
        """Return the rail of that name, if the Rails sheet lists it."""
        return next((rail for rail in self.rails if rail.name == name), None)


@dataclass(frozen=True, slots=True)
class CellReading:
    """How one cell was read: the text stays, with the notation used and how certain the reading is."""

    location: Location
    text: str
    reading: str
    certainty: str
    because: str


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A row that cannot be planned, and why."""

    location: Location
    text: str
    reason: str


@dataclass(frozen=True, slots=True)
class Inspection:
    """Everything read from the files of one job; rows_in = positions' rows + left_out + blank_rows."""

    files: tuple[str, ...]
    units: tuple[Unit, ...]
    positions: tuple[Position, ...]
    left_out: tuple[LeftOut, ...] = ()
    blank_rows: int = 0
    rows_in: int = 0
    readings: tuple[CellReading, ...] = ()
    kept_columns: tuple[str, ...] = ()
    """Headings that nothing reads; their cells stay in the notes."""
    columns: frozenset[str] = field(default=frozenset())
    """Fields for which at least one cell was filled in."""

    def unit(self, name: str) -> Unit:
        """Return the unit of that name; raises StopIteration if there is none."""
        return next(unit for unit in self.units if unit.name == name)


def _first(*values: float | None) -> float | None:
    return next((value for value in values if value is not None), None)
