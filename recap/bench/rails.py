"""What is to be expected of a rail: its window, its ripple, the frequency of it, and what a wrong one points to."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from recap.bench.constants import constant, constant_source
from recap.formulas.voltage import rail_window_v, unloaded_winding_peak_v, worst_rail_v
from recap.model import SWITCHING_SUPPLIES, Basis, Position, Rail, Role, SupplyKind, Unit
from recap.model.bench import Limit, RipplePattern
from recap.ruledata import Row, number, table
from recap.rules.danger import returns_to_live
from recap.rules.rectifiers import winding_regulation
from recap.rules.reference import mains_high_fraction, supply_behaviour
from recap.units import plain, si

USUAL_RIPPLE = "intel-atx-dg-0.9"


@cache
def _expectation(supply: SupplyKind) -> Row:
    return next(row for row in table("rail_expectations") if row["supply"] == supply)


@cache
def _published(nominal_v: float) -> Row | None:
    """Return the personal-computer rail of a nominal voltage, the main one before the standby one."""
    return next((row for row in table("rail_limits") if float(row["nominal_v"]) == nominal_v), None)


def regulated(rail: Rail) -> bool:
    """Return whether a rail holds its voltage against mains and load."""
    return _expectation(rail.supply)["regulated"] == "yes" or (
        rail.supply is SupplyKind.UNKNOWN and rail.tolerance is not None
    )


def is_live(rail: Rail, positions: Iterable[Position] = ()) -> bool:
    """Return whether a rail stands on the mains side, by the name of its other side or a primary reservoir on it."""
    return returns_to_live(rail) or any(
        position.rail == rail.name and position.role is Role.PRIMARY_RESERVOIR for position in positions
    )


def worst_rail(rail: Rail, unit: Unit) -> float:
    """Return the highest size of a rail in ordinary use: no load, high mains, or its tolerance when regulated."""
    if rail.nominal_v is None:
        return 0.0
    behaviour = supply_behaviour(rail.supply)
    if regulated(rail):
        tolerance = behaviour.tolerance if rail.tolerance is None else rail.tolerance
        return float(worst_rail_v(rail.nominal_v, tolerance))
    high = mains_high_fraction()
    if rail.secondary_v is not None:
        rise = winding_regulation(unit, rail)
        peak_v = float(unloaded_winding_peak_v(rail.secondary_v, high, rise, behaviour.stack))
        return max(peak_v, abs(rail.nominal_v))
    return float(worst_rail_v(rail.nominal_v, 0.0, behaviour.unloaded_rise, high))


def loaded_window(rail: Rail) -> Limit | None:
    """Return the direct voltage that a loaded rail must show; None without a nominal voltage."""
    if rail.nominal_v is None:
        return None
    if rail.tolerance is not None:
        why = "tolerance on the Rails sheet"
        return _window(rail.nominal_v, rail.tolerance, Basis.DOCUMENTED, "our-judgement", why)
    published = _published(rail.nominal_v) if regulated(rail) else None
    if published is not None:
        fraction = float(published["tolerance"])
        why = f"±{plain(100 * fraction)} %, usual for such a rail; no tolerance was given"
        return _window(rail.nominal_v, fraction, Basis.ASSUMED, published["source"], why)
    row = _expectation(rail.supply)
    fraction = float(row["window_fraction"])
    why = f"±{plain(100 * fraction)} %, assumed: no tolerance was given"
    if rail.supply is SupplyKind.UNKNOWN:
        why += " and the kind of supply is not known"
    return _window(rail.nominal_v, fraction, Basis.ASSUMED, row["source"], why)


def light_window(rail: Rail, unit: Unit) -> Limit | None:
    """Return the window at least load: an unregulated rail may rise towards the peak of its winding."""
    loaded = loaded_window(rail)
    if loaded is None or rail.nominal_v is None or regulated(rail) or rail.tolerance is not None:
        return loaded
    sign = -1.0 if rail.negative else 1.0
    worst = sign * worst_rail(rail, unit)
    low, high = sorted((sign * min(abs(loaded.low or 0.0), abs(loaded.high or 0.0)), worst))
    why = "from the loaded rail up to the peak of the winding on a high mains"
    return Limit(low, high, "V", Basis.ASSUMED, supply_behaviour(rail.supply).source, why)


def _window(nominal_v: float, fraction: float, basis: Basis, source: str, why: str) -> Limit:
    low, high = sorted(float(edge) for edge in rail_window_v(nominal_v, fraction))
    return Limit(low, high, "V", basis, source, why)


def usual_ripple_v(nominal_v: float) -> float | None:
    """Return the ripple that the personal-computer rail of a nominal voltage may have, peak to peak; None without one.

    >>> usual_ripple_v(-12.0)
    0.12
    """
    row = _published(nominal_v)
    return None if row is None else float(row["ripple_vpp"])


def ripple_limit(rail: Rail) -> Limit | None:
    """Return the largest ripple from peak to peak at the oscilloscope; None without anything to go by."""
    if rail.ripple_limit_v is not None:
        return Limit(None, rail.ripple_limit_v, "V", Basis.DOCUMENTED, "our-judgement", "limit on the Rails sheet")
    if rail.nominal_v is None:
        return None
    usual = usual_ripple_v(rail.nominal_v) if regulated(rail) else None
    if usual is not None:
        return Limit(None, usual, "V", Basis.ASSUMED, USUAL_RIPPLE, "usual for such a rail; none was given")
    row = _expectation(rail.supply)
    fraction = float(row["ripple_fraction"])
    why = f"{plain(100 * fraction)} % of the rail from peak to peak, assumed: no limit was given"
    return Limit(None, fraction * abs(rail.nominal_v), "V", Basis.ASSUMED, row["source"], why)


def expected_frequency(rail: Rail, unit: Unit) -> tuple[float | None, str]:
    """Return the ripple frequency to expect and where it comes from."""
    if rail.ripple_frequency_hz is not None:
        return rail.ripple_frequency_hz, "on the Rails sheet"
    if rail.supply in SWITCHING_SUPPLIES:
        return None, "the switching frequency, which was not recorded: some 15 to 100 kHz in old supplies"
    multiple = number(_expectation(rail.supply), "frequency")
    if multiple is None:
        return None, "not known: the kind of supply was not recorded"
    if unit.mains_frequency_hz is None:
        return None, f"{'twice the' if multiple == 2 else 'the'} mains frequency, which was not recorded"
    what = {1.0: "mains frequency: one pulse a period", 2.0: "twice the mains frequency: two pulses a period"}[multiple]
    if rail.supply is SupplyKind.LINEAR_REGULATED:
        what = "twice the mains frequency where any comes through the regulator"
    return multiple * unit.mains_frequency_hz, what


def patterns(rail: Rail) -> tuple[RipplePattern, ...]:
    """Return what each look of the ripple points to on this kind of rail."""
    wanted = _expectation(rail.supply)["pattern"]
    return tuple(
        RipplePattern(row["looks"], row["points_to"], row["source"])
        for row in table("ripple_patterns")
        if row["pattern"] == wanted
    )


def dead_resistance(rail: Rail) -> Limit:
    """Return the least resistance of an unpowered rail to its other side: never below its full load's."""
    if rail.nominal_v and rail.full_load_a:
        low = abs(rail.nominal_v) / rail.full_load_a
        why = f"below {si(low, 'Ω')} more than the full load of {si(rail.full_load_a, 'A')} would flow"
        return Limit(low, None, "Ω", Basis.CALCULATED, "our-judgement", why)
    least = constant("no_short_ohm")
    why = f"below {si(least, 'Ω')} it looks like a short; the load is not known"
    return Limit(least, None, "Ω", Basis.ASSUMED, constant_source("no_short_ohm"), why)
