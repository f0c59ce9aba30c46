"""Dummy loads for the rails: preferred resistors with margin, what the parts drawer offers, a lamp instead."""

from __future__ import annotations

from collections.abc import Sequence

from recap.bench.constants import constant
from recap.bench.drawer import DrawerResistor, from_drawer
from recap.bench.resistors import body_with_margin
from recap.formulas.dummy_load import load_power_w, load_resistance_ohm
from recap.formulas.preferred import next_down_preferred, next_up_preferred
from recap.model import SWITCHING_SUPPLIES, Rail
from recap.model.bench import BenchResistor, LampLoad, RailLoad
from recap.rules.reference import significands
from recap.units import plain, si

SERIES = "E24"


def rail_load(rail: Rail, drawer: Sequence[DrawerResistor] = ()) -> RailLoad:
    """Return the least and the full load of a rail, and what is missing to work them out.

    A switching rail without a known minimum gets a part of its full load; a linear one needs none.
    """
    missing = [name for name, value in (("nominal V", rail.nominal_v), ("full load A", rail.full_load_a)) if not value]
    if not rail.nominal_v:
        return RailLoad(None, None, None, False, tuple(missing))
    least_a, assumed = rail.minimum_load_a, False
    if least_a is None and rail.full_load_a and rail.supply in SWITCHING_SUPPLIES:
        least_a, assumed = rail.full_load_a * constant("least_load_fraction"), True
    return RailLoad(
        load_resistor(rail.nominal_v, least_a, drawer, at_least=True) if least_a else None,
        load_resistor(rail.nominal_v, rail.full_load_a, drawer) if rail.full_load_a else None,
        lamp_load(rail.nominal_v, rail.full_load_a) if rail.full_load_a else None,
        assumed,
        tuple(missing),
    )


def load_resistor(
    rail_v: float, current_a: float, drawer: Sequence[DrawerResistor] = (), *, at_least: bool = False
) -> BenchResistor:
    """Return the preferred resistor that draws no more than the current, or no less if `at_least`."""
    wanted = float(load_resistance_ohm(rail_v, current_a))
    choose = next_down_preferred if at_least else next_up_preferred
    preferred = choose(wanted, significands(SERIES))
    power_w = float(load_power_w(rail_v, min(wanted, preferred)))
    body = body_with_margin(power_w, abs(rail_v))
    return BenchResistor(
        wanted,
        preferred,
        abs(rail_v) / preferred,
        power_w,
        body.rating_w if body else None,
        body.kind if body else "several in series or parallel",
        from_drawer(rail_v, current_a, drawer, at_least=at_least) if drawer else "",
    )


def lamp_load(rail_v: float, current_a: float) -> LampLoad:
    """Return a filament lamp that draws the current when hot, and its surge when cold."""
    surge = (current_a * constant("lamp_cold_ratio_low"), current_a * constant("lamp_cold_ratio_high"))
    return LampLoad(
        abs(rail_v) * current_a,
        current_a,
        surge,
        f"Cold it draws {plain(surge[0])} to {si(surge[1], 'A')}: a supply that retries after an overload may never "
        "start into it. Start on resistors, add lamps while it runs.",
    )
