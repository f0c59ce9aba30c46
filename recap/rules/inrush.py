"""What switching on does to rectifier, fuse and switch when a reservoir's value moves."""

from __future__ import annotations

from recap.formulas.inrush import inrush_change, inrush_i2t_a2s, inrush_peak_a
from recap.formulas.voltage import unloaded_winding_peak_v
from recap.model import RECTIFIED_SUPPLIES, Basis, Input, SupplyKind
from recap.rules import reference
from recap.rules.case import Case
from recap.rules.circuit import RESERVOIRS
from recap.rules.rectifiers import winding_regulation
from recap.units import plain, si, volts


def switching_on(case: Case, new_f: float) -> tuple[str, list[Input]]:
    """Return how a new value changes the rush into the reservoir, and from what; empty where no rectifier is known.

    Figures are upper ones: at the crest, at high mains, with an unloaded winding, diodes and ESR left out. A doubler
    charges its capacitors one at a time; other reservoirs of a rail are charged together.
    """
    rail, given = case.rail, case.capacitance
    if rail is None or given is None or rail.supply not in RECTIFIED_SUPPLIES or case.role not in RESERVOIRS:
        return "", []
    others_f = 0.0
    if rail.supply is not SupplyKind.VOLTAGE_DOUBLER:
        others_f = sum(each.capacitance_f or 0.0 for each in case.bank if each.key != case.position.key)
    before_f, after_f = given.value + others_f, new_f + others_f
    ohm, ceiling = rail.source_resistance_ohm, case.esr_ceiling
    if not ohm or rail.secondary_v is None:
        factor = float(inrush_change(before_f, after_f, 1.0).i2t)
        return (
            f"I²t of switching on {plain(factor, 3)} times the original's there, its peak no higher for the value",
            [],
        )
    peak_v = unloaded_winding_peak_v(
        rail.secondary_v, reference.mains_high_fraction(), winding_regulation(case.unit, rail)
    )
    before, factor = float(inrush_i2t_a2s(before_f, peak_v, ohm)), float(inrush_change(before_f, after_f, ohm).i2t)
    inputs = [
        Input("secondary", f"{volts(rail.secondary_v)} rms loaded", Basis.DOCUMENTED),
        Input("source resistance", si(ohm, "Ω"), Basis.DOCUMENTED),
    ]
    text = (
        f"I²t of switching on at most {plain(before, 3)} A²s with the original, {plain(factor, 3)} times that there; "
        f"peak at most {si(float(inrush_peak_a(peak_v, ohm)), 'A')}, the same for any value"
    )
    if others_f or ceiling is None:
        return text, inputs
    held = 1 / float(inrush_change(before_f, before_f, ohm, ceiling.value, 0.0).peak)
    return (
        f"{text}; the most ESR of an original holds both to {plain(held, 2)} of that, a low-ESR part does not",
        inputs,
    )
