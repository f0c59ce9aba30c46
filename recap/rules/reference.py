"""What the rules look up about circuits, kinds and decisions: rows of data/tables turned into figures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

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
    wish: float | None
    """A fraction within which it had better stay."""
    prefer: str
    reason: str
    source: str


@cache
def role_window(role: Role) -> RoleWindow:
    """Return the row of role_windows.csv for a role."""
    row = next(row for row in table("role_windows") if row["role"] == role)
    return RoleWindow(
        float(row["down"]), float(row["routine_up"]), float(row["up"]), number(row, "wish"), row["prefer"],
        row["reason"], row["source"],
    )  # fmt: skip


@cache
def significands(series: str) -> tuple[float, ...]:
    """Return the preferred values of one decade, 1 to below 10, of a series such as E12."""
    return tuple(float(row["significand"]) for row in table("e_series") if row["series"] == series)


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
    other_figures: frozenset[str]
    """Those of the kinds that need another value or rating, so that one specification cannot name them."""
    condition: str
    source: str


@cache
def kind_exchange(kind: Kind, role: Role) -> KindExchange | None:
    """Return the exchange row for a kind in a role; None for an unknown kind."""
    for row in table("kind_exchange"):
        if row["original"] == kind and (row["roles"] == "*" or str(role) in row["roles"].split(";")):
            others = frozenset(filter(None, row["other_figures"].split(";")))
            return KindExchange(tuple(row["allowed"].split(";")), others, row["condition"], row["source"])
    return None


@cache
def sold_in(kind: str, mounting: Mounting) -> bool:
    """Return whether a kind is sold in a mounting; an unknown mounting or kind rules nothing out."""
    row = next((row for row in table("kind_mountings") if row["kind"] == kind), None)
    return row is None or mounting is Mounting.UNKNOWN or str(mounting) in row["mountings"].split(";")


@dataclass(frozen=True, slots=True)
class SafetyClass:
    """A mains safety class: its impulse voltage and the letters that it may stand for."""

    name: str
    impulse_kv: float
    stands_for: str


@cache
def safety_substitutes(name: str) -> tuple[str, ...]:
    """Return the classes that may stand for a class, itself first; empty for an unknown class."""
    known = {
        row["class"]: SafetyClass(
            row["class"], float(row["impulse_kv"]),
            "X" * (row["stands_for_x"] == "yes") + "Y" * (row["stands_for_y"] == "yes"),
        )
        for row in table("safety_classes")
    }  # fmt: skip
    wanted = known.get(name)
    if wanted is None:
        return ()
    serving = [c for c in known.values() if name[0] in c.stands_for and c.impulse_kv >= wanted.impulse_kv]
    return tuple(c.name for c in sorted(serving, key=lambda c: (c.name != name, c.impulse_kv)))


@cache
def most_charge_per_volume() -> float:
    """Return the most charge that an aluminium electrolytic holds by its volume, in mC/cm³."""
    row = next(row for row in table("cv_density") if row["quantity"] == "most_charge_per_volume")
    return float(row["value"])


@cache
def safety_whatever(letter: str) -> tuple[str, ...]:
    """Return the classes that may stand for every class of a letter, for all of them where it is empty."""
    meant = [row["class"] for row in table("safety_classes") if row["class"].startswith(letter)]
    known = [row["class"] for row in table("safety_classes")]
    return tuple(name for name in known if all(name in safety_substitutes(each) for each in meant))


@cache
def models_of_life() -> LifeModels:
    """Return the life models with their limits, read once."""
    return life_models(table("life_models"), table("life_limits"))


@cache
def coolest_life_ambient_c() -> float:
    """Return the air below which life formulas are not extrapolated, in °C."""
    return next(float(row["value"]) for row in table("life_limits") if row["name"] == "floor_ambient_c")


@cache
def vote(vote_id: str) -> tuple[int, float, str]:
    """Return a vote's weight, likelihood of failure and source."""
    row = next(row for row in table("votes") if row["id"] == vote_id)
    return int(row["weight"]), float(row["likelihood"]), row["source"]


@cache
def consequence(role: Role) -> float:
    """Return how much a failure in this role costs, 1 to 5."""
    return _consequence(str(role))


@cache
def downstream_consequence() -> float:
    """Return what a supply part's failure costs besides, in front of what cannot be bought again."""
    return _consequence("irreplaceable downstream")


def _consequence(name: str) -> float:
    return next(float(row["consequence"]) for row in table("consequences") if row["role"] == name)


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
