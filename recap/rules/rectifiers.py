"""What is known of a kind of rectifier: its drop and slope at a load, from data/tables/rectifier_drops.csv."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from recap.formulas.rectifier_diode import emission_voltage
from recap.model import Rail, Unit
from recap.ruledata import Row, table


@dataclass(frozen=True, slots=True)
class Rectifier:
    """A kind of rectifier; `law` is junction, plates (selenium) or three-halves (a valve)."""

    type: str
    title: str
    source: str
    row: Row

    def drop_v(self, load_a: float) -> float:
        """Return the forward drop at the mean load current, in V; a valve's follows the 3/2 law."""
        drop = float(self.row["drop_v"])
        if self.row["law"] != "three-halves":
            return drop
        return float(drop * (load_a / float(self.row["current_a"])) ** (2 / 3))

    def slope_ohm(self, load_a: float, drop_v: float) -> float:
        """Return the slope resistance at the mean load current, in Ω."""
        law = self.row["law"]
        if law == "junction":
            rise = float(emission_voltage(float(self.row["ideality"]), assumption("junction_temperature")))
        elif law == "plates":
            rise = assumption("selenium_slope_ratio") * drop_v
        else:
            rise = assumption("three_halves_chord") * drop_v
        return rise / load_a


@cache
def rectifier(name: str) -> Rectifier | None:
    """Return the rectifier of that type, however it is capitalised; None for an unknown one."""
    wanted = name.strip().casefold()
    for row in table("rectifier_drops"):
        if row["type"].casefold() == wanted:
            return Rectifier(row["type"], row["title"], row["source"], row)
    return None


@cache
def assumption(name: str) -> float:
    """Return a figure of data/tables/ripple_assumptions.csv; raises KeyError."""
    return {row["name"]: float(row["value"]) for row in table("ripple_assumptions")}[name]


def winding_regulation(unit: Unit, rail: Rail) -> float:
    """Return how far the rail's winding, stated loaded, rises without load; 0 where the mains itself is rectified."""
    secondary, mains = rail.secondary_v, unit.mains_voltage_v
    if secondary is not None and mains is not None and abs(secondary / mains - 1) <= assumption("mains_itself_within"):
        return 0.0
    return assumption("transformer_regulation")


def softest_emission_v() -> float:
    """Return n·kT/q of the softest junction, as the steady state needs it."""
    return float(emission_voltage(assumption("softest_ideality"), assumption("junction_temperature")))
