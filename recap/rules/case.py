"""One position with all that the rules ask of it: figures with their basis, worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from recap.formulas import voltage
from recap.model import (
    RECTIFIED_SUPPLIES,
    Basis,
    Board,
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
from recap.rules import reference
from recap.units import farads, hours, plain, si, volts

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


@dataclass(frozen=True, slots=True)
class Given:
    """A figure with its name, unit and basis, ready to be shown as an input of a reason."""

    name: str
    value: float
    unit: str
    basis: Basis

    @property
    def text(self) -> str:
        """The value with its unit, for people."""
        form = {"F": farads, "V": volts, "h": hours}.get(self.unit)
        if form:
            return form(self.value)
        return si(self.value, self.unit) if self.unit in ("A", "Ω", "Hz") else f"{plain(self.value)} {self.unit}"

    @property
    def input(self) -> Input:
        """The figure as an input of a reason."""
        return Input(self.name, self.text, self.basis)


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

    def unit_basis(self, field: str) -> Basis:
        """Return whether somebody filled in a field of the Unit sheet."""
        return Basis.ASSUMED if field in self.unit.assumed else Basis.DOCUMENTED

    @cached_property
    def capacitance(self) -> Given | None:
        """The value the position was built with: the marking, else the documents."""
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
        """The hottest air near the part: measured on the board, or the room plus a rise."""
        room, board = self.unit.room_temperature_c, self.board
        if board.air_temperature_c is not None:
            return Given("air near the part", board.air_temperature_c, "°C", Basis.MEASURED)
        if board.rise_over_room_k is not None:
            air = room + board.rise_over_room_k
            return Given("air near the part (room plus rise)", air, "°C", Basis.CALCULATED)
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
    def mains_direct(self) -> bool:
        """Whether the position stands on the mains side of the supply."""
        return self.position.role in (Role.MAINS_SAFETY, Role.PRIMARY_RESERVOIR)

    @cached_property
    def working_voltage(self) -> Given | None:
        """The DC it works at: measured, else from rail or mains, else assumed from the rating and said so."""
        measured = self.position.measured.working_voltage_v
        if measured is not None:
            return Given("working voltage", abs(measured), "V", Basis.MEASURED)
        if self.rail is not None and self.rail.nominal_v is not None:
            stack = reference.supply_behaviour(self.rail.supply).stack
            return Given(f"rail {self.rail.name}", abs(self.rail.nominal_v) / stack, "V", Basis.DOCUMENTED)
        if self.position.role is Role.PRIMARY_RESERVOIR and self.unit.mains_voltage_v is not None:
            peak = float(voltage.unloaded_winding_peak_v(self.unit.mains_voltage_v))
            return Given("rectified mains", peak, "V", Basis.CALCULATED)
        if self.rated_voltage is None:
            return None
        fraction = self.policy.number("voltage", "assumed_working_fraction")
        name = f"working voltage ({plain(fraction * 100)} % of the rating)"
        return Given(name, self.rated_voltage.value * fraction, "V", Basis.ASSUMED)

    @cached_property
    def peak_voltage(self) -> Given | None:
        """The highest voltage that may stand on it: high mains, no load, tolerance, crest of the ripple."""
        working = self.working_voltage
        if working is None or working.basis is Basis.ASSUMED:
            return None
        rail = self.rail
        crest = (rail.ripple_limit_v or 0.0) / 2 if rail is not None else 0.0
        mains = reference.mains_high_fraction()
        if rail is None:
            rise = 1 + mains if self.position.role is Role.PRIMARY_RESERVOIR else 1.0
            return Given("worst-case peak", working.value * rise, "V", Basis.CALCULATED)
        behaviour = reference.supply_behaviour(rail.supply)
        if rail.supply in RECTIFIED_SUPPLIES and rail.secondary_v is not None:
            unloaded = float(voltage.unloaded_winding_peak_v(rail.secondary_v, mains))
            return Given("worst-case peak (winding unloaded, high mains)", unloaded, "V", Basis.CALCULATED)
        if behaviour.follows_mains and self._on_unregulated_side:
            peak = crest + float(voltage.worst_rail_v(working.value, 0.0, behaviour.unloaded_rise, mains))
            return Given("worst-case peak (no load, high mains)", peak, "V", Basis.CALCULATED)
        tolerance = rail.tolerance if rail.tolerance is not None else behaviour.tolerance
        return Given(
            "worst-case peak", working.value * (1 + tolerance) + crest, "V", Basis.CALCULATED
        )

    @property
    def _on_unregulated_side(self) -> bool:
        """A rail of unknown kind is taken as unregulated only where the part is a reservoir."""
        rail = self.rail
        known = rail is not None and rail.supply in RECTIFIED_SUPPLIES
        return known or self.position.role in (Role.RESERVOIR, Role.REGULATOR_INPUT)

    @cached_property
    def esr_ceiling(self) -> Given | None:
        """The largest ESR of a new part of this value and rating at 120 Hz, from dissipation factors."""
        if self.capacitance is None or self.rated_voltage is None or not self.is_electrolytic:
            return None
        series = reference.esr_series(self.position.body.mounting, self.position.body.kind)
        ceiling = reference.esr_ceiling(series, self.capacitance.value, self.rated_voltage.value)
        return Given("new part's ESR ceiling at 120 Hz", ceiling, "Ω", Basis.CALCULATED)

    @cached_property
    def is_electrolytic(self) -> bool:
        """Whether the kind is an electrolytic, or may be one."""
        return self.position.body.kind not in (Kind.FILM, Kind.CERAMIC, Kind.PAPER, Kind.METALLISED_PAPER)

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
