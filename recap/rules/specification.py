"""From requirements to a part that can be asked for in a shop: plain figures, each the tightest of its kind."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from recap.formulas.preferred import balancing_resistor_ohm, next_rating
from recap.model import Mounting, Relation, Requirement, Specification, Strength
from recap.rules import reference
from recap.rules.capacitance import equal_pair, window
from recap.rules.case import Case
from recap.rules.readings import leakage_limit
from recap.units import plain, si, volts

T = TypeVar("T")


def specify(case: Case, requirements: tuple[Requirement, ...]) -> Specification | None:
    """Return the part to ask for: preferred figures where they can be met together with the musts."""
    limits, given, rated = window(case), case.capacitance, case.rated_voltage
    if limits is None or given is None or rated is None:
        return None
    asked = _Asked(requirements)
    low, high = asked.floor("capacitance_f", limits[0]), asked.ceiling("capacitance_f", limits[1])
    value = asked.exactly("capacitance_f", given.value)
    notes: list[str] = []
    pieces, arrangement = 1, "single"
    if not low * (1 - 1e-9) <= value <= high * (1 + 1e-9):
        value = min(max(value, low), high)
    if asked.exactly("capacitance_f", None) is None and (half := equal_pair(case)) is not None:
        value, pieces, arrangement = half, 2, "two in parallel"
        low, high = low / 2, high / 2
    volts_needed = asked.floor("rated_voltage_v", rated.value)
    safety = asked.choices("safety_class")
    rating: float | None = volts_needed
    if case.is_electrolytic and not safety:
        rating = next_rating(volts_needed, reference.common_ratings()) or next_rating(
            volts_needed, reference.all_ratings()
        )
    if rating is None:
        pair = next_rating(volts_needed / 2, reference.common_ratings()) or volts_needed / 2
        value, low, high, pieces, arrangement = value * 2, low * 2, high * 2, 2, "two in series"
        notes.append(_balancing_note(case, pair, volts_needed))
        rating = pair
    kinds = asked.choices("kind") or (str(case.position.body.kind),)
    ripple, ripple_frequency = asked.bound("ripple_current_a", Relation.AT_LEAST)
    esr_max, esr_frequency = asked.bound("esr_ohm", Relation.AT_MOST)
    esr_min, _ = asked.bound("esr_ohm", Relation.AT_LEAST)
    endurance = asked.floor("endurance_h", None)
    diameter = case.position.body.diameter_mm
    room = asked.ceiling("height_with_vent_mm", None)
    if case.position.body.mounting is Mounting.AXIAL and "radial" in asked.choices("mounting"):
        notes.append("radial only lying flat, leads lengthened in sleeving, body fixed")
    return Specification(
        capacitance_f=value,
        capacitance_window_f=(low, high),
        rated_voltage_v=rating,
        kinds=kinds,
        mounting=str(case.position.body.mounting),
        upper_category_temperature_c=asked.floor("upper_category_temperature_c", None),
        endurance_h=endurance,
        endurance_temperature_c=None
        if endurance is None
        else case.policy.number("temperature", "preferred_category_c"),
        lead_spacings_mm=tuple(float(p) for p in asked.choices("lead_spacing_mm")),
        diameter_max_mm=asked.ceiling("diameter_mm", None),
        height_max_mm=None if room is None else room - reference.vent_clearance_mm(diameter or 0.0),
        lead_diameter_max_mm=asked.ceiling("lead_diameter_mm", None),
        ripple_current_a=None if ripple is None else ripple / pieces,
        ripple_frequency_hz=ripple_frequency,
        esr_max_ohm=None if esr_max is None else esr_max * (pieces if arrangement == "two in parallel" else 1),
        esr_min_ohm=esr_min,
        esr_frequency_hz=esr_frequency,
        safety_classes=tuple(str(name) for name in safety),
        ac=bool(safety) or "bipolar" in asked.choices("polarity"),
        pieces=pieces,
        arrangement=arrangement,
        notes=tuple(notes),
    )


def _balancing_note(case: Case, rating: float, bus: float) -> str:
    leakage = leakage_limit(case)
    if leakage is None:
        return "two in series need equal balancing resistors across them"
    resistor = balancing_resistor_ohm(rating, bus, leakage)
    power = (bus / 2) ** 2 / resistor
    return (
        f"two of {volts(rating)} in series, each with at most {si(resistor, 'Ω')} across it "
        f"({plain(power)} W, fit twice that); they share {volts(bus)} only through these resistors"
    )


class _Asked:
    """The requirements by quantity; musts and preferences together, since a shop sells what meets both."""

    def __init__(self, requirements: Iterable[Requirement]) -> None:
        self._items = list(requirements)

    def _numbers(self, quantity: str, relation: Relation) -> list[tuple[float, Requirement]]:
        return [
            (float(item.value), item)
            for item in self._items
            if item.quantity == quantity and item.relation is relation and isinstance(item.value, int | float)
        ]

    def floor(self, quantity: str, default: T) -> float | T:
        return max((value for value, _ in self._numbers(quantity, Relation.AT_LEAST)), default=default)

    def ceiling(self, quantity: str, default: T) -> float | T:
        musts = [v for v, item in self._numbers(quantity, Relation.AT_MOST) if item.strength is Strength.MUST]
        return min(musts, default=default)

    def exactly(self, quantity: str, default: T) -> float | T:
        return next((value for value, _ in self._numbers(quantity, Relation.EXACTLY)), default)

    def bound(self, quantity: str, relation: Relation) -> tuple[float | None, float | None]:
        """Return the governing figure with its frequency: a must before a preference."""
        found = [pair for pair in self._numbers(quantity, relation) if pair[1].governing]
        found.sort(key=lambda pair: (pair[1].strength is Strength.PREFER, pair[1].frequency_hz or 0.0))
        return (found[0][0], found[0][1].frequency_hz) if found else (None, None)

    def choices(self, quantity: str) -> tuple[str, ...]:
        """Return what every must allows, the preferred first."""
        sets = [i for i in self._items if i.quantity == quantity and i.relation is Relation.ONE_OF]
        musts = [i.value for i in sets if i.strength is Strength.MUST and isinstance(i.value, tuple)]
        prefers = [i.value for i in sets if i.strength is Strength.PREFER and isinstance(i.value, tuple)]
        if not musts:
            return tuple(str(item) for item in prefers[0]) if prefers else ()
        allowed = [item for item in musts[0] if all(item in other for other in musts[1:])]
        first = [item for item in allowed if any(item in wish for wish in prefers)]
        return tuple(str(item) for item in (*first, *(item for item in allowed if item not in first)))
