"""What the rules look up: rows of data/tables turned into figures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from recap.formulas import can, esr
from recap.formulas.life_lines import LifeModels, life_models
from recap.model import Kind, Mounting, Role, SupplyKind
from recap.ruledata import number, table


@dataclass(frozen=True, slots=True)
class SupplyBehaviour:
    """How a kind of supply moves: capacitors in a stack, tolerance, rise without load, whether mains moves it."""

    stack: float
    tolerance: float
    unloaded_rise: float
    follows_mains: bool
    source: str


@cache
def supply_behaviour(supply: SupplyKind) -> SupplyBehaviour:
    """Return the row of supply_voltages.csv for a kind of supply."""
    row = next(row for row in table("supply_voltages") if row["supply"] == supply)
    return SupplyBehaviour(
        stack=float(row["stack"]),
        tolerance=float(row["tolerance"]),
        unloaded_rise=float(row["unloaded_rise"]),
        follows_mains=row["follows_mains"] == "yes",
        source=row["source"],
    )


@cache
def mains_high_fraction() -> float:
    """Return how far the mains may rise above its nominal voltage, as a fraction."""
    return float(table("mains_tolerance")[0]["high_fraction"])


@cache
def common_ratings() -> tuple[float, ...]:
    """Return the rated voltages that are commonly sold, rising, in V."""
    return tuple(float(row["rated_voltage_v"]) for row in table("rated_voltages") if row["common"] == "yes")


@cache
def all_ratings() -> tuple[float, ...]:
    """Return every rated voltage that is sold somewhere, rising, in V."""
    return tuple(float(row["rated_voltage_v"]) for row in table("rated_voltages"))


@cache
def renamed_rating(printed_v: float) -> float | None:
    """Return the rating under which an old equal value is sold today, or None."""
    for row in table("rated_voltage_renames"):
        if float(row["printed_v"]) == printed_v and float(row["today_v"]) < printed_v:
            return float(row["today_v"])
    return None


@dataclass(frozen=True, slots=True)
class RoleWindow:
    """How far the value may move in a role: fractions down, up routinely and up with a check."""

    down: float
    routine_up: float
    up: float
    prefer: str
    reason: str
    source: str


@cache
def role_window(role: Role) -> RoleWindow:
    """Return the row of role_windows.csv for a role."""
    row = next(row for row in table("role_windows") if row["role"] == role)
    return RoleWindow(
        float(row["down"]), float(row["routine_up"]), float(row["up"]), row["prefer"], row["reason"], row["source"]
    )


@cache
def significands(series: str) -> tuple[float, ...]:
    """Return the preferred values of one decade, 1 to below 10, of a series such as E12."""
    return tuple(float(row["significand"]) for row in table("e_series") if row["series"] == series)


_TAN_DELTA_SERIES = {
    Mounting.SNAP_IN: "panasonic-ts-ha",
    Mounting.SCREW: "panasonic-ts-ha",
    Mounting.TWIST_LOCK: "panasonic-ts-ha",
    Mounting.SMD_CAN: "smd-series-mf",
}


def esr_series(mounting: Mounting, kind: Kind) -> str:
    """Return the data sheet whose dissipation factors stand for a body: a general-purpose one of its form."""
    if kind is Kind.NON_POLAR_ALUMINIUM:
        return "teapo-sn"
    return _TAN_DELTA_SERIES.get(mounting, "panasonic-su")


@cache
def _tan_delta(series: str) -> tuple[tuple[float, ...], tuple[float, ...], float, float]:
    rows = [row for row in table("tan_delta") if row["series"] == series]
    added, above = number(rows[0], "added_per_1000uf"), number(rows[0], "above_uf")
    return (
        tuple(float(row["rated_voltage_v"]) for row in rows),
        tuple(float(row["tan_delta"]) for row in rows),
        added or 0.0,
        above or 0.0,
    )


def esr_ceiling(series: str, capacitance_f: float, rated_voltage_v: float, frequency_hz: float = 120.0) -> float:
    """Return the largest ESR of a new part in Ω, from the series' tan δ; ratings beyond its ends take the end's."""
    ratings, limits, added, above = _tan_delta(series)
    rating = min(max(rated_voltage_v, ratings[0]), ratings[-1])
    factor = esr.limit_at_rating(rating, ratings, limits)
    if added:
        factor = float(esr.with_large_value_term(factor, capacitance_f, added, above))
    return float(esr.esr_ohm(factor, capacitance_f, frequency_hz))


@cache
def vent_clearance_mm(diameter_mm: float) -> float:
    """Return the free height that a can of this diameter needs above its vent."""
    for row in table("vent_clearance"):
        limit = number(row, "up_to_diameter_mm")
        if limit is None or diameter_mm <= limit:
            return float(row["clearance_mm"])
    raise AssertionError("the table ends with an open row")


@cache
def era_tolerance(family: str, year: float | None) -> tuple[float, float]:
    """Return the usual tolerance of a family in a year, as signed fractions; today's for an unknown year."""
    rows = [row for row in table("era_tolerance") if family.startswith(row["family"])]
    rows = rows or [row for row in table("era_tolerance") if row["family"] == "other"]
    for row in rows:
        before = number(row, "before_year")
        if before is None or (year is not None and year < before):
            return float(row["minus"]), float(row["plus"])
    raise AssertionError("each family ends with an open row")


@dataclass(frozen=True, slots=True)
class ValveRectifier:
    """The largest first reservoir of a valve rectifier."""

    largest_f: float
    source: str


@cache
def valve_rectifier(name: str) -> ValveRectifier | None:
    """Return the limit of a valve rectifier by its type, longest type first; None for an unknown one."""
    wanted = name.upper().replace(" ", "").replace("-", "")
    rows = sorted(table("valve_rectifiers"), key=lambda row: -len(row["type"]))
    for row in rows:
        if wanted.startswith(row["type"]):
            return ValveRectifier(float(row["largest_first_reservoir_f"]), row["source"])
    return None


@dataclass(frozen=True, slots=True)
class KindExchange:
    """The kinds that may stand in for a kind in a role, and on which condition."""

    allowed: tuple[str, ...]
    condition: str
    source: str


@cache
def kind_exchange(kind: Kind, role: Role) -> KindExchange | None:
    """Return the exchange row for a kind in a role; None for an unknown kind."""
    for row in table("kind_exchange"):
        if row["original"] == kind and (row["roles"] == "*" or str(role) in row["roles"].split(";")):
            return KindExchange(tuple(row["allowed"].split(";")), row["condition"], row["source"])
    return None


@cache
def esr_window() -> tuple[float, float, str]:
    """Return the ESR window that an ESR-sensitive regulator usually needs, in Ω, and its source."""
    row = table("esr_windows")[0]
    return float(row["lowest_ohm"]), float(row["highest_ohm"]), row["source"]


@cache
def _can_heat(name: str) -> float:
    return next(float(row["value"]) for row in table("can_heat") if row["name"] == name)


def rated_rise_k(hot_class: bool) -> float:
    """Return the core rise that rated ripple stands for, in K: of 105 °C parts or of 85 °C parts."""
    return _can_heat("rise_105" if hot_class else "rise_85")


def ripple_from_size(esr_ohm: float, diameter_mm: float, length_mm: float, hot_class: bool) -> float:
    """Return the ripple current in A that a can of this size and ESR carries at its rated rise."""
    surface = can.can_surface_cm2(diameter_mm, length_mm)
    heat = _can_heat("coefficient"), _can_heat("exponent")
    return float(can.ripple_for_rise_a(esr_ohm, surface, rated_rise_k(hot_class), *heat))


@cache
def high_frequency_share() -> float:
    """Return the part of the 120 Hz ESR ceiling that good parts show at 100 kHz."""
    return next(
        float(row["value"]) for row in table("bench_constants") if row["name"] == "esr_high_frequency_fraction"
    )


@cache
def models_of_life() -> LifeModels:
    """Return the life models with their limits, read once."""
    return life_models(table("life_models"), table("life_limits"))


@cache
def lead_diameter_mm(diameter_mm: float) -> float | None:
    """Return the usual lead diameter of a radial can, from the next larger can of the table."""
    for row in table("lead_wires"):
        if diameter_mm <= float(row["diameter_mm"]):
            return float(row["lead_diameter_mm"])
    return None


@cache
def radial_spacings_mm() -> tuple[float, ...]:
    """Return the lead spacings that radial cans are sold with, rising."""
    return tuple(sorted({float(r["lead_spacing_mm"]) for r in table("can_sizes") if r["style"] == "radial"}))


@cache
def leakage_terms() -> tuple[float, float]:
    """Return factor in 1/s and floor in A of the general leakage limit."""
    row = next(row for row in table("leakage_limits") if row["id"] == "general")
    return float(row["factor_per_s"]), float(row["floor_a"])


@cache
def vote(vote_id: str) -> tuple[int, float, str]:
    """Return a vote's weight, likelihood of failure and source."""
    row = next(row for row in table("votes") if row["id"] == vote_id)
    return int(row["weight"]), float(row["likelihood"]), row["source"]


@cache
def consequence(role: Role) -> float:
    """Return how much a failure in this role costs, 1 to 5."""
    return next(float(row["consequence"]) for row in table("consequences") if row["role"] == role)


@dataclass(frozen=True, slots=True)
class Era:
    """Years in which a kind of part is known to fail, and the policy's switch for it."""

    id: str
    mounting: str
    on_rails_only: bool
    first_year: int
    last_year: int
    switch: str
    what: str
    source: str


@cache
def eras() -> tuple[Era, ...]:
    """Return the known bad eras."""
    return tuple(
        Era(
            row["id"], row["mounting"], row["on_rails_only"] == "yes", int(row["first_year"]),
            int(row["last_year"]), row["switch"], row["what"], row["source"],
        )
        for row in table("eras")
    )
