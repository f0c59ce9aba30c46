"""One position with all that the rules ask of it: figures with their basis, worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from recap.model import (
    SWITCHING_SUPPLIES,
    Basis,
    Board,
    Condition,
    Input,
    Kind,
    Mounting,
    Position,
    Rail,
    Role,
    Tristate,
    Unit,
)
from recap.policy import Policy
from recap.rules import circuit, new_parts, stress
from recap.rules.circuit import CircuitRipple
from recap.rules.given import Given
from recap.units import plain

SUPPLY_ROLES = frozenset(
    {
        Role.PRIMARY_RESERVOIR,
        Role.RESERVOIR,
        Role.SWITCHER_OUTPUT,
        Role.START_UP,
        Role.REGULATOR_INPUT,
        Role.REGULATOR_OUTPUT,
    }
)
RAIL_ROLES = SUPPLY_ROLES | {Role.DECOUPLING}
AC_ROLES = frozenset({Role.CROSSOVER, Role.DEFLECTION})
_FAMILIES = {
    Kind.WET_ALUMINIUM: "wet-aluminium",
    Kind.NON_POLAR_ALUMINIUM: "wet-aluminium",
    Kind.UNKNOWN: "wet-aluminium",
    Kind.HYBRID: "polymer",
    Kind.SOLID_POLYMER: "polymer",
    Kind.SOLID_TANTALUM: "solid-tantalum",
    Kind.WET_TANTALUM: "wet-tantalum",
    Kind.FILM: "film",
    Kind.PAPER: "film",
    Kind.METALLISED_PAPER: "film",
}


@dataclass(frozen=True)
class Case:
    """A position in its surroundings; everything derived is worked out when first asked for."""

    position: Position
    unit: Unit
    board: Board
    rail: Rail | None
    policy: Policy
    present_year: int
    neighbour_gap: Given | None = None
    bank: tuple[Position, ...] = ()
    """The reservoirs that share this position's ripple, itself among them."""

    def unit_basis(self, field: str) -> Basis:
        """Return whether somebody filled in a field of the Unit sheet."""
        return Basis.ASSUMED if field in self.unit.assumed else Basis.DOCUMENTED

    @cached_property
    def capacitance(self) -> Given | None:
        """The value the position was built with: the marking, else the documents, which hold after a repair."""
        documented = self.position.documented.capacitance_f
        if Condition.REPLACED_BEFORE in self.position.conditions and documented is not None:
            return Given("documented capacitance", documented, "F", Basis.DOCUMENTED)
        return self.fitted_capacitance

    @cached_property
    def fitted_capacitance(self) -> Given | None:
        """The value of the part that is there: readings of it are held against this one."""
        return self._marked_or_documented(
            "capacitance", self.position.marked.capacitance_f, self.position.documented.capacitance_f, "F"
        )

    @cached_property
    def rated_voltage(self) -> Given | None:
        """The original's rated voltage: the marking, else the documents."""
        return self._marked_or_documented(
            "rating", self.position.marked.rated_voltage_v, self.position.documented.rated_voltage_v, "V"
        )

    def _marked_or_documented(
        self, what: str, marked: float | None, documented: float | None, unit: str
    ) -> Given | None:
        if marked is not None:
            return Given(f"marked {what}", marked, unit, Basis.MARKED)
        if documented is not None:
            return Given(f"documented {what}", documented, unit, Basis.DOCUMENTED)
        return None

    @cached_property
    def category(self) -> Given | None:
        """The original's upper category temperature."""
        marked = self.position.marked.temperature_c
        return None if marked is None else Given("marked temperature", marked, "°C", Basis.MARKED)

    @cached_property
    def ambient(self) -> Given:
        """The hottest air near the part: measured, or the room plus a rise; a hotter body measured there counts."""
        air, body = self._air(), self.position.measured.body_temperature_c
        if body is not None and body > air.value:
            return Given("body temperature, above that of the air", body, "°C", Basis.MEASURED)
        return air

    def _air(self) -> Given:
        room, board = self.unit.room_temperature_c, self.board
        if board.air_temperature_c is not None:
            return Given("air near the part", board.air_temperature_c, "°C", Basis.MEASURED)
        if board.rise_over_room_k is not None:
            assumed = self.unit_basis("room_temperature_c") is Basis.ASSUMED
            basis = Basis.ASSUMED if assumed else Basis.CALCULATED
            return Given("air near the part (room plus rise)", room + board.rise_over_room_k, "°C", basis)
        rise = self.policy.number("temperature", "assumed_rise_k")
        return Given(f"air near the part (room plus {plain(rise)} K)", room + rise, "°C", Basis.ASSUMED)

    @cached_property
    def year(self) -> Given | None:
        """The year of make: the date code, else the unit's year."""
        if self.position.marked.year is not None:
            return Given("date code's year", self.position.marked.year, "", Basis.MARKED)
        if self.unit.year_made is not None:
            return Given("unit's year", self.unit.year_made, "", Basis.DOCUMENTED)
        return None

    @cached_property
    def age(self) -> float | None:
        """Years since the part was made."""
        return None if self.year is None else self.present_year - self.year.value

    @property
    def year_input(self) -> Input | None:
        """The year without thousands commas."""
        if self.year is None:
            return None
        return Input(self.year.name, f"{self.year.value:.0f}", self.year.basis)

    @cached_property
    def family(self) -> str:
        """The derating family of the original's kind, by voltage class for wet aluminium."""
        family = _FAMILIES.get(self.position.body.kind, "other")
        high = self.policy.number("voltage", "high_voltage_from_v")
        rated = self.rated_voltage
        if family == "wet-aluminium" and rated is not None and rated.value >= high:
            return "wet-aluminium-high-voltage"
        return family

    @cached_property
    def across_mains(self) -> bool:
        """Whether the part stands on continuous mains AC: by its role, its class, or its AC-marked paper body."""
        marked, kind = self.position.marked, self.position.body.kind
        paper = kind in (Kind.METALLISED_PAPER, Kind.PAPER)
        return self.position.role is Role.MAINS_SAFETY or bool(marked.safety_class) or (paper and bool(marked.ac))

    @cached_property
    def role(self) -> Role:
        """The role that rules go by: a body with a safety class has that role whatever the sheet says."""
        return Role.MAINS_SAFETY if self.across_mains else self.position.role

    @cached_property
    def rated_ac(self) -> bool:
        """Whether the rating is an AC one, which says nothing about DC and the reverse."""
        return self.across_mains or bool(self.position.marked.ac)

    @cached_property
    def working_voltage(self) -> Given | None:
        """The DC it works at: measured, else from mains or rail, else assumed from the rating and said so."""
        return stress.working_voltage(self)

    @cached_property
    def peak_voltage(self) -> Given | None:
        """The highest voltage that may stand on it: high mains, no load, tolerance, crest of the ripple."""
        return stress.peak_voltage(self)

    @cached_property
    def circuit_ripple(self) -> CircuitRipple | None:
        """This part's share of its rail's ripple, where the rail says enough."""
        if self.position.role not in circuit.RESERVOIRS or circuit.lacking(self.unit, self.rail) or self.rail is None:
            return None
        return circuit.circuit_ripple(self.unit, self.rail, self.position, self.bank)

    @cached_property
    def esr_ceiling(self) -> Given | None:
        """The largest ESR of a new part of this value and rating at 120 Hz, from dissipation factors."""
        return self._esr_ceiling(self.capacitance)

    @cached_property
    def fitted_esr_ceiling(self) -> Given | None:
        """The same of the value that is fitted."""
        return self._esr_ceiling(self.fitted_capacitance)

    def _esr_ceiling(self, capacitance: Given | None) -> Given | None:
        if capacitance is None or self.rated_voltage is None or not self.has_loss_table:
            return None
        series = new_parts.esr_series(self.position.body.mounting, self.position.body.kind)
        ceiling = new_parts.esr_ceiling(series, capacitance.value, self.rated_voltage.value)
        return Given("new part's ESR ceiling at 120 Hz", ceiling, "Ω", Basis.CALCULATED)

    @cached_property
    def switched(self) -> bool:
        """Whether the ripple of a switching supply flows through it."""
        supplied = self.rail is not None and self.rail.supply in SWITCHING_SUPPLIES
        role = self.position.role
        return role is Role.SWITCHER_OUTPUT or (supplied and role is Role.RESERVOIR)

    @cached_property
    def is_electrolytic(self) -> bool:
        """Whether the kind is an electrolytic, or may be one."""
        return self.position.body.kind not in (Kind.FILM, Kind.CERAMIC, Kind.PAPER, Kind.METALLISED_PAPER)

    @cached_property
    def has_loss_table(self) -> bool:
        """Whether dissipation factors of its kind are at hand; polymer and tantalum lie elsewhere."""
        return self.position.body.kind in (Kind.WET_ALUMINIUM, Kind.NON_POLAR_ALUMINIUM, Kind.UNKNOWN)

    @cached_property
    def esr_sensitive(self) -> Tristate:
        """Whether a regulator on this rail needs an ESR within a window."""
        return self.rail.esr_sensitive if self.rail is not None else Tristate.UNKNOWN

    @cached_property
    def room_above(self) -> Given | None:
        """Height available over the board: at the position, else the board's limit."""
        if self.position.body.room_above_mm is not None:
            return Given("room above", self.position.body.room_above_mm, "mm", Basis.MEASURED)
        if self.board.height_limit_mm is not None:
            return Given("board's height limit", self.board.height_limit_mm, "mm", Basis.DOCUMENTED)
        return None

    @cached_property
    def hours_wanted(self) -> Given:
        """Hours of use in the years it should last."""
        bases = {self.unit_basis("years_wanted"), self.unit_basis("use_h_per_year")}
        basis = Basis.ASSUMED if Basis.ASSUMED in bases else Basis.DOCUMENTED
        unit = self.unit
        name = f"{plain(unit.years_wanted)} years at {plain(unit.use_h_per_year)} h a year"
        return Given(name, unit.years_wanted * unit.use_h_per_year, "h", basis)

    @property
    def large_can(self) -> bool:
        """Whether the body is a snap-in, screw or twist-lock can."""
        return self.position.body.mounting in (Mounting.SNAP_IN, Mounting.SCREW, Mounting.TWIST_LOCK)
