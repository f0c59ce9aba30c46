"""What would make a part fit: one sentence for each point in the way, the least change that removes it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from recap.model import Mounting, Part, Relation, Strength
from recap.model.check import Point, PointVerdict
from recap.model.figures import demand, figure, name_of
from recap.parts import reference
from recap.parts.place import Place
from recap.units import plain, si, volts

_BEYOND_ENDURANCE = 20  # no family is this many times longer-lived than another; something else is wrong
_LEADED = (Mounting.RADIAL.value, None)


def remedies(points: Sequence[Point], place: Place, part: Part) -> tuple[str, ...]:
    """Return what would make it fit, each once, in the order of the points."""
    found: dict[str, None] = {}
    for point in _tightest(points):
        if point.verdict is PointVerdict.FAILS or point.asks:
            for text in _remedy(point, place, part):
                found[text] = None
        elif point.verdict is PointVerdict.NOTE:
            for text in _handling(point, part):
                found[text] = None
    return tuple(found)


def _handling(point: Point, part: Part) -> list[str]:
    """Return what the one who fits it must do where a wish is missed."""
    if point.quantity == "lead_spacing_mm" and isinstance(point.required, tuple) and part.lead_spacing_mm is not None:
        wanted = min(
            (float(item) for item in point.required), key=lambda item: abs(item - float(part.lead_spacing_mm or 0))
        )
        return [f"its leads are formed from {plain(part.lead_spacing_mm)} to {plain(wanted)} mm"]
    if point.quantity == "mounting" and part.mounting == Mounting.RADIAL.value:
        return ["it lies flat, leads lengthened in sleeving, body fixed"]
    if point.quantity == "lead_diameter_mm":
        return ["its leads, measured, pass the holes"]
    return []


def _tightest(points: Sequence[Point]) -> list[Point]:
    """Leave out a demand that another of its kind goes beyond."""
    chosen: dict[tuple[object, ...], Point] = {}
    for point in points:
        name = (point.quantity, point.relation, point.frequency_hz, point.strength)
        other = chosen.get(name)
        if other is None or (point.margin is not None and other.margin is not None and point.margin < other.margin):
            chosen[name] = point
    return list(chosen.values())


def _remedy(point: Point, place: Place, part: Part) -> list[str]:
    if point.required == "not known":
        return [f"the {name_of(point.quantity)} that belongs at this position is found out"]
    if point.provided is None:
        return [f"its data sheet states {name_of(point.quantity, point.frequency_hz)}: {_words(point)}"]
    special = _REMEDIES.get(point.quantity)
    return (
        special(point, place, part) if special else [f"{name_of(point.quantity, point.frequency_hz)} {_words(point)}"]
    )


def _words(point: Point) -> str:
    prefix = {Relation.AT_LEAST: "at least ", Relation.AT_MOST: "at most "}.get(point.relation, "")
    if isinstance(point.required, tuple):
        return demand(point.relation, point.required, point.unit)
    return prefix + figure(point.required, point.unit)


def _rated_voltage(point: Point, place: Place, part: Part) -> list[str]:
    wanted = float(point.required) if isinstance(point.required, int | float) else 0.0
    step = next((rating for rating in reference.common_ratings() if rating >= wanted * (1 - 1e-9)), None)
    if step is None:
        return [f"a rated voltage of at least {volts(wanted)}, or two in series with balancing resistors"]
    return [f"the same with a step up in voltage: {volts(step)}, if the body still fits"]


def _lead_spacing(point: Point, place: Place, part: Part) -> list[str]:
    wanted = point.required if isinstance(point.required, tuple) else ()
    off = abs(point.margin or 0.0)
    said = [f"lead spacing {_words(point)}"]
    if part.mounting in _LEADED and len(wanted) > 1:
        said.append(f"the leads formed by {plain(off)} mm more than the policy allows, without straining the seal")
    return said


def _height(point: Point, place: Place, part: Part) -> list[str]:
    room = float(point.required) if isinstance(point.required, int | float) else 0.0
    said = []
    if part.diameter_mm is not None and part.length_mm is not None and part.diameter_mm <= room:
        free = part.length_mm + reference.constant("flat_free_length")
        free += float(reference.vent_clearance_mm(np.array([part.diameter_mm]))[0])
        said.append(f"mounted on its side, fixed, where {plain(free)} × {plain(part.diameter_mm)} mm of board are free")
    if part.diameter_mm is not None:
        tallest = room - float(reference.vent_clearance_mm(np.array([part.diameter_mm]))[0])
        said.append(f"a body at most {plain(tallest)} mm tall")
    return said


def _mounting(point: Point, place: Place, part: Part) -> list[str]:
    return [f"the same as a {demand(Relation.ONE_OF, point.required, '')} part"]


def _ripple(point: Point, place: Place, part: Part) -> list[str]:
    wanted = float(point.required) if isinstance(point.required, int | float) else 0.0
    at = si(point.frequency_hz, "Hz") if point.frequency_hz else "its frequency"
    return [f"a ripple rating of at least {si(wanted, 'A')} at {at}: a larger can or a lower-loss series"]


def _life(point: Point, place: Place, part: Part) -> list[str]:
    if not isinstance(point.required, int | float) or not isinstance(point.provided, float) or not part.endurance_h:
        return []
    if point.provided < point.required / _BEYOND_ENDURANCE:
        return ["ratings of ripple, voltage and temperature that bear what it meets here"]
    needed = part.endurance_h * point.required / point.provided
    said = [f"an endurance of at least {plain(needed)} h at the same temperature"]
    rated = part.upper_category_temperature_c
    if rated is not None and rated < 105:
        said.append("the same endurance at 105 °C")
    return said


def _esr(point: Point, place: Place, part: Part) -> list[str]:
    at = f" at {si(point.frequency_hz, 'Hz')}" if point.frequency_hz else ""
    wanted = float(point.required) if isinstance(point.required, int | float) else 0.0
    if point.relation is not Relation.AT_LEAST:
        return [f"an ESR of at most {si(wanted, 'Ω')}{at}: a larger can or a lower-loss series"]
    lacking = wanted - float(point.provided or 0.0)
    said = [f"an ESR of at least {si(wanted, 'Ω')}{at}"]
    if place.role == "regulator output":
        said.append(f"about {si(lacking, 'Ω')} in series with the capacitor itself")
    elif point.strength is Strength.PREFER:
        said.append("the supply's loop is known to bear the lower ESR")
    return said


def _kind(point: Point, place: Place, part: Part) -> list[str]:
    if point.asks and place.conditional_kinds[2]:
        return [f"the condition is met: {place.conditional_kinds[2]}"]
    return [f"kind {demand(Relation.ONE_OF, point.required, '')}"]


_REMEDIES: dict[str, Callable[[Point, Place, Part], list[str]]] = {
    "rated_voltage_v": _rated_voltage,
    "lead_spacing_mm": _lead_spacing,
    "height_with_vent_mm": _height,
    "mounting": _mounting,
    "ripple_current_a": _ripple,
    "estimated_life_h": _life,
    "esr_ohm": _esr,
    "kind": _kind,
}
