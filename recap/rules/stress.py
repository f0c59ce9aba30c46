"""The voltage that stands on a position: what it works at, and the most it may meet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recap.formulas import voltage
from recap.model import RECTIFIED_SUPPLIES, Basis, Role, SupplyKind
from recap.rules import reference
from recap.rules.given import Given
from recap.rules.rectifiers import winding_regulation
from recap.units import plain

if TYPE_CHECKING:
    from recap.rules.case import Case

BESIDE_THE_RAIL = frozenset({Role.COUPLING, Role.TIMING, Role.DEFLECTION, Role.CROSSOVER})
"""Roles in which the rail need not stand across the part, though it may."""
_BEFORE_REGULATOR = frozenset({Role.RESERVOIR, Role.REGULATOR_INPUT})
_STACKED = _BEFORE_REGULATOR | {Role.PRIMARY_RESERVOIR}


def working_voltage(case: Case) -> Given | None:
    """Return the DC a position works at: measured, else from mains or rail, else assumed and said so."""
    measured = case.position.measured.working_voltage_v
    if measured is not None:
        return Given("working voltage", abs(measured), "V", Basis.MEASURED)
    return _from_mains(case) or _from_rail(case) or _from_rating(case)


def peak_voltage(case: Case) -> Given | None:
    """Return the highest voltage that may stand on a position; None where its working voltage is not known.

    The basis is assumed where the kind of supply had to be.
    """
    working = case.working_voltage
    if working is None or working.basis is Basis.ASSUMED:
        return None
    if case.position.role is Role.PRIMARY_RESERVOIR and not _rectified(case):
        high = working.value * (1 + reference.mains_high_fraction())
        return Given("worst-case peak (high mains)", high, "V", Basis.CALCULATED)
    if case.rail is None or case.position.role in BESIDE_THE_RAIL:
        return Given("highest voltage known to stand on it", working.value, "V", working.basis)
    if _unregulated(case):
        return _unregulated_peak(case, working.value)
    return _regulated_peak(case, working)


def rail_behaviour_known(case: Case) -> bool:
    """Return whether the rail says how far it may rise: by its kind of supply or its tolerance."""
    rail = case.rail
    if rail is None:
        return case.position.role is Role.PRIMARY_RESERVOIR
    return _supply(case) is not SupplyKind.UNKNOWN or (rail.tolerance is not None and not _unregulated(case))


def _supply(case: Case) -> SupplyKind:
    """Return the supply that the part itself stands behind: before a linear regulator it is not the rail's."""
    assert case.rail is not None
    before = case.position.role in _BEFORE_REGULATOR and case.rail.supply is SupplyKind.LINEAR_REGULATED
    return SupplyKind.UNKNOWN if before else case.rail.supply


def _rectified(case: Case) -> bool:
    return case.rail is not None and case.rail.supply in RECTIFIED_SUPPLIES


def _unregulated(case: Case) -> bool:
    """A supply of unknown kind is taken as unregulated only where the part is a reservoir."""
    unknown = _supply(case) is SupplyKind.UNKNOWN and case.position.role in _BEFORE_REGULATOR
    return unknown or _rectified(case)


def _stack(case: Case) -> float:
    """Return how many capacitors share the rail: the reservoirs of a doubler do, parts on its output do not."""
    assert case.rail is not None
    return reference.supply_behaviour(case.rail.supply).stack if case.position.role in _STACKED else 1.0


def _from_mains(case: Case) -> Given | None:
    mains, rated = case.unit.mains_voltage_v, case.rated_voltage
    if case.position.role is not Role.PRIMARY_RESERVOIR or mains is None:
        return None
    if case.rail is not None and case.rail.nominal_v is not None and _rectified(case):
        return None
    whole = float(voltage.unloaded_winding_peak_v(mains))
    if rated is not None and rated.value < whole:
        name = "half the rectified mains (rated below the whole, taken as one of two in series)"
        return Given(name, whole / 2, "V", Basis.ASSUMED)
    return Given("rectified mains", whole, "V", Basis.CALCULATED)


def _from_rail(case: Case) -> Given | None:
    rail, role = case.rail, case.position.role
    if rail is None or rail.nominal_v is None:
        return None
    if role is Role.PRIMARY_RESERVOIR and not _rectified(case):
        return None
    if role in _BEFORE_REGULATOR and rail.supply is SupplyKind.LINEAR_REGULATED:
        return None
    if role in BESIDE_THE_RAIL:
        return Given(f"at most all of rail {rail.name}", abs(rail.nominal_v), "V", Basis.ASSUMED)
    return Given(f"rail {rail.name}", abs(rail.nominal_v) / _stack(case), "V", Basis.DOCUMENTED)


def _from_rating(case: Case) -> Given | None:
    if case.rated_voltage is None:
        return None
    fraction = case.policy.assumed_working_fraction(case.family)
    name = f"working voltage ({plain(fraction * 100)} % of the rating)"
    return Given(name, case.rated_voltage.value * fraction, "V", Basis.ASSUMED)


def _unregulated_peak(case: Case, working_v: float) -> Given:
    """Return the larger of the unloaded rail and the loaded one with the crest of its ripple, at high mains."""
    rail = case.rail
    assert rail is not None
    supply, mains = _supply(case), reference.mains_high_fraction()
    loaded = float(voltage.worst_rail_v(working_v, high_mains_fraction=mains)) + _crest(case)
    if rail.secondary_v is not None and supply in RECTIFIED_SUPPLIES:
        stack = 1.0 if case.position.role in _STACKED else reference.supply_behaviour(supply).stack
        rise = winding_regulation(case.unit, rail)
        unloaded = float(voltage.unloaded_winding_peak_v(rail.secondary_v, mains, rise, stack))
        how = "winding unloaded, high mains"
    else:
        rise = reference.supply_behaviour(supply).unloaded_rise
        unloaded = float(voltage.worst_rail_v(working_v, unloaded_rise=rise, high_mains_fraction=mains))
        how = "no load, high mains"
    unknown = supply is SupplyKind.UNKNOWN
    name = f"worst-case peak ({how}{', supply taken as unregulated' if unknown else ''})"
    return Given(name, max(loaded, unloaded), "V", Basis.ASSUMED if unknown else Basis.CALCULATED)


def winding_rise(case: Case) -> Given | None:
    """Return the rise of the unloaded winding that the worst-case peak counts with; None where it has no part."""
    rail = case.rail
    if rail is None or rail.secondary_v is None or case.position.role in BESIDE_THE_RAIL or not _unregulated(case):
        return None
    if _supply(case) not in RECTIFIED_SUPPLIES or not (rise := winding_regulation(case.unit, rail)):
        return None
    return Given("rise of the unloaded winding", rise * 100, "%", Basis.ASSUMED)


def _regulated_peak(case: Case, working: Given) -> Given:
    rail = case.rail
    assert rail is not None
    if not rail_behaviour_known(case):
        return Given("rail without its tolerance", working.value + _crest(case), "V", working.basis)
    given = rail.tolerance
    tolerance = reference.supply_behaviour(rail.supply).tolerance if given is None else given
    high = float(voltage.worst_rail_v(working.value, tolerance)) + _crest(case)
    return Given("worst-case peak (tolerance and ripple)", high, "V", Basis.CALCULATED)


def _crest(case: Case) -> float:
    """Return how far the rail's allowed ripple rises over its mean."""
    return (case.rail.ripple_limit_v or 0.0) / 2 if case.rail is not None else 0.0
