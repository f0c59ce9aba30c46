"""From requirements to a part that can be asked for in a shop: plain figures, each the tightest of its kind."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from recap.formulas.preferred import balancing_resistor_ohm, next_rating
from recap.model import Kind, Mounting, Relation, Requirement, Specification, Strength
from recap.rules import new_parts, reference
from recap.rules.capacitance import bounds, equal_pair
from recap.rules.case import Case
from recap.rules.voltage import sold_rating, voltage_floors
from recap.units import plain, si, volts

T = TypeVar("T")
PARALLEL, SERIES = "two in parallel", "two in series"


@dataclass(frozen=True, slots=True)
class _Build:
    """How the value and rating are made: one part, or two that share."""

    capacitance_f: float
    window_f: tuple[float, float]
    rating_v: float
    arrangement: str = "single"
    notes: tuple[str, ...] = ()

    @property
    def pieces(self) -> int:
        return 1 if self.arrangement == "single" else 2

    def current_share(self, current_a: float | None) -> float | None:
        """Return what each piece carries: parts in parallel share it, parts in series do not."""
        return current_a / 2 if current_a is not None and self.arrangement == PARALLEL else current_a

    def resistance_share(self, resistance_ohm: float | None) -> float | None:
        """Return what each piece may show: twice the whole in parallel, half of it in series."""
        if resistance_ohm is None or self.arrangement == "single":
            return resistance_ohm
        return resistance_ohm * (2 if self.arrangement == PARALLEL else 0.5)


def specify(case: Case, requirements: tuple[Requirement, ...]) -> Specification | None:
    """Return the part to ask for: preferred figures where they can be met together with the musts.

    None where the value, the rating or, on the mains, the class is not known.
    """
    if bounds(case) is None or case.capacitance is None or case.rated_voltage is None:
        return None
    asked = _Asked(requirements)
    safety, body = asked.choices("safety_class"), case.position.body
    if case.across_mains and not safety:
        return None
    build = _build(case, asked)
    category = asked.floor("upper_category_temperature_c", None)
    ripple, ripple_frequency = asked.bound("ripple_current_a", Relation.AT_LEAST)
    esr_max, esr_frequency = asked.bound("esr_ohm", Relation.AT_MOST)
    esr_min, esr_min_frequency = asked.bound("esr_ohm", Relation.AT_LEAST)
    endurance = asked.floor("endurance_h", None)
    widest = asked.ceiling("diameter_mm", None)
    return Specification(
        capacitance_f=build.capacitance_f,
        capacitance_window_f=build.window_f,
        rated_voltage_v=build.rating_v,
        kinds=_kinds(case, asked),
        mounting=str(body.mounting),
        upper_category_temperature_c=None
        if category is None
        else next_rating(category, new_parts.upper_categories_c()) or category,
        endurance_h=endurance,
        endurance_temperature_c=None
        if endurance is None
        else case.policy.number("temperature", "preferred_category_c"),
        lead_spacings_mm=tuple(float(p) for p in asked.choices("lead_spacing_mm")),
        diameter_max_mm=widest,
        height_max_mm=_height(case, asked, widest),
        lead_diameter_max_mm=asked.ceiling("lead_diameter_mm", None),
        ripple_current_a=build.current_share(ripple),
        ripple_frequency_hz=ripple_frequency,
        esr_max_ohm=build.resistance_share(esr_max),
        esr_min_ohm=build.resistance_share(esr_min),
        esr_frequency_hz=esr_frequency,
        safety_classes=tuple(str(name) for name in safety),
        ac=case.rated_ac,
        pieces=build.pieces,
        arrangement=build.arrangement,
        notes=(*build.notes, *_notes(case, asked)),
        esr_min_frequency_hz=esr_min_frequency,
        lower_category_temperature_c=asked.lowest("lower_category_temperature_c"),
    )


def _build(case: Case, asked: _Asked) -> _Build:
    """Return value and rating, single or as a pair where no single part serves."""
    value, limits = _value(case, asked)
    if case.rated_ac:
        floor = asked.floor("ac_voltage_v", case.rated_voltage.value if case.rated_voltage else 0.0)
        return _Build(value, limits, floor)
    must, wanted = voltage_floors(asked.items)
    rating = sold_rating(must, wanted)
    if rating is None and case.is_electrolytic:
        return _series_pair(case, value, limits, must)
    half = equal_pair(case) if asked.exactly("capacitance_f", None) is None else None
    if half is None:
        return _Build(value, limits, rating or must)
    return _Build(half, (limits[0] / 2, limits[1] / 2), rating or must, PARALLEL)


def _value(case: Case, asked: _Asked) -> tuple[float, tuple[float, float]]:
    limits, given = bounds(case), case.capacitance
    assert limits is not None
    assert given is not None
    low, high = asked.floor("capacitance_f", limits[0]), asked.ceiling("capacitance_f", limits[1])
    value = asked.exactly("capacitance_f", given.value)
    return min(max(value, low), high), (low, high)


def _series_pair(case: Case, value: float, limits: tuple[float, float], bus: float) -> _Build:
    """Return two equal parts in series, each of twice the value and rated above half the voltage."""
    above = next((rating for rating in reference.common_ratings() if rating > bus / 2), None)
    if above is None:
        return _Build(value, limits, bus, notes=("no pair of common parts reaches this voltage either",))
    note = _balancing_note(case, 2 * value, above, bus)
    return _Build(2 * value, (2 * limits[0], 2 * limits[1]), above, SERIES, (note,))


def _balancing_note(case: Case, capacitance_f: float, rating: float, bus: float) -> str:
    body = case.position.body
    leakage = new_parts.leakage_limit(body.kind, body.mounting, capacitance_f, rating)
    resistor = balancing_resistor_ohm(rating, bus, leakage.limit_a)
    power = (bus / 2) ** 2 / resistor
    return (
        f"two of {volts(rating)} in series, each with at most {si(resistor, 'Ω')} across it "
        f"({plain(power)} W, fit twice that); they share {volts(bus)} only through these resistors"
    )


def _kinds(case: Case, asked: _Asked) -> tuple[str, ...]:
    """Return the kinds that these figures serve; one that needs other figures stays a matter for thought."""
    kinds = asked.choices("kind") or (str(case.position.body.kind),)
    exchange = reference.kind_exchange(case.position.body.kind, case.position.role)
    others = exchange.other_figures if exchange is not None and not case.across_mains else frozenset()
    return tuple(name for name in kinds if name not in others) or kinds


def _height(case: Case, asked: _Asked, widest_mm: float | None) -> float | None:
    """Return the tallest body: the room less the vent space of the widest body that may come."""
    room = asked.ceiling("height_with_vent_mm", None)
    if room is None:
        return None
    body = case.position.body
    widest = widest_mm or body.diameter_mm or new_parts.widest_can_mm(body.mounting)
    return room - new_parts.vent_clearance_mm(widest)


def _notes(case: Case, asked: _Asked) -> Iterable[str]:
    if case.position.body.mounting is Mounting.AXIAL and "radial" in asked.choices("mounting"):
        yield "radial only lying flat, leads lengthened in sleeving, body fixed"
    if case.position.body.kind is Kind.UNKNOWN:
        yield "kind not known: check the body before buying"


class _Asked:
    """The requirements by quantity; musts and preferences together, since a shop sells what meets both."""

    def __init__(self, requirements: Iterable[Requirement]) -> None:
        self.items = list(requirements)

    def _numbers(self, quantity: str, relation: Relation) -> list[tuple[float, Requirement]]:
        return [
            (float(item.value), item)
            for item in self.items
            if item.quantity == quantity and item.relation is relation and isinstance(item.value, int | float)
        ]

    def floor(self, quantity: str, default: T) -> float | T:
        return max((value for value, _ in self._numbers(quantity, Relation.AT_LEAST)), default=default)

    def lowest(self, quantity: str) -> float | None:
        return min((value for value, _ in self._numbers(quantity, Relation.AT_MOST)), default=None)

    def ceiling(self, quantity: str, default: T) -> float | T:
        musts = [v for v, item in self._numbers(quantity, Relation.AT_MOST) if item.strength is Strength.MUST]
        return min(musts, default=default)

    def exactly(self, quantity: str, default: T) -> float | T:
        return next((value for value, _ in self._numbers(quantity, Relation.EXACTLY)), default)

    def bound(self, quantity: str, relation: Relation) -> tuple[float | None, float | None]:
        """Return one figure with its frequency: a must before a wish, the higher frequency before the lower.

        A limit at a high frequency comes from the circuit itself, one at 120 Hz from the kind of part.
        """
        found = [pair for pair in self._numbers(quantity, relation) if pair[1].governing]
        found.sort(key=lambda pair: (pair[1].strength is Strength.PREFER, -(pair[1].frequency_hz or 0.0)))
        return (found[0][0], found[0][1].frequency_hz) if found else (None, None)

    def choices(self, quantity: str) -> tuple[str, ...]:
        """Return what every must allows, the preferred first."""
        sets = [i for i in self.items if i.quantity == quantity and i.relation is Relation.ONE_OF]
        musts = [i.value for i in sets if i.strength is Strength.MUST and isinstance(i.value, tuple)]
        prefers = [i.value for i in sets if i.strength is Strength.PREFER and isinstance(i.value, tuple)]
        if not musts:
            return tuple(str(item) for item in prefers[0]) if prefers else ()
        allowed = [item for item in musts[0] if all(item in other for other in musts[1:])]
        first = [item for item in allowed if any(item in wish for wish in prefers)]
        return tuple(str(item) for item in (*first, *(item for item in allowed if item not in first)))
