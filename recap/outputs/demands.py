"""Demands in words: what each quantity is called, how they stand together, and the bound that governs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from recap.model import Relation, Requirement, Strength
from recap.units import farads, plain, si, volts

_GROUPS = {
    "What kind of part": {
        "kind": "Kind",
        "polarity": "Polarity",
        "safety_class": "Safety class",
    },
    "What the circuit asks": {
        "rated_voltage_v": "Rated voltage",
        "ac_voltage_v": "AC voltage",
        "capacitance_f": "Capacitance",
        "esr_ohm": "ESR",
        "ripple_current_a": "Ripple current rating",
    },
    "What heat and time ask": {
        "upper_category_temperature_c": "Upper category temperature",
        "lower_category_temperature_c": "Lower category temperature",
        "endurance_h": "Endurance in the maker's test",
        "estimated_life_h": "Estimated life at this position",
    },
    "What the board has room for": {
        "mounting": "Mounting",
        "lead_spacing_mm": "Lead spacing",
        "lead_diameter_mm": "Lead diameter",
        "diameter_mm": "Diameter",
        "height_with_vent_mm": "Height with the space over its vent",
    },
}
_OTHERS = "Besides"
_RELATIONS = {
    Relation.AT_LEAST: "at least ",
    Relation.AT_MOST: "at most ",
    Relation.EXACTLY: "",
    Relation.ONE_OF: "",
}


def quantity_name(quantity: str, frequency_hz: float | None = None) -> str:
    """Return a quantity in words.

    >>> quantity_name("height_with_vent_mm"), quantity_name("esr_ohm", 1e5)
    ('Height with the space over its vent', 'ESR at 100 kHz')
    """
    names = {name: words for group in _GROUPS.values() for name, words in group.items()}
    text = names.get(quantity) or quantity.replace("_", " ").capitalize()
    return f"{text} at {si(frequency_hz, 'Hz')}" if frequency_hz is not None else text


def grouped(requirements: Iterable[Requirement]) -> list[tuple[str, list[tuple[str, list[Requirement]]]]]:
    """Return the demands by subject and quantity, under each quantity what governs first and musts before wishes."""
    quantities: dict[tuple[str, float | None], list[Requirement]] = {}
    for item in requirements:
        quantities.setdefault((item.quantity, item.frequency_hz), []).append(item)
    order = [name for group in _GROUPS.values() for name in group]
    subjects: dict[str, list[tuple[str, list[Requirement]]]] = {}
    known = sorted(quantities, key=lambda q: (order.index(q[0]) if q[0] in order else len(order), q[1] or 0.0))
    for quantity, frequency in known:
        subject = next((title for title, names in _GROUPS.items() if quantity in names), _OTHERS)
        demands = sorted(quantities[quantity, frequency], key=_weight)
        subjects.setdefault(subject, []).append((quantity_name(quantity, frequency), demands))
    return list(subjects.items())


def _weight(demand: Requirement) -> tuple[bool, bool]:
    return not demand.governing, demand.strength is Strength.PREFER


def governing_text(demands: Sequence[Requirement]) -> str:
    """Return the governing bounds of one quantity in short: what it must be, then what is wished besides."""
    musts = [bound(item) for item in demands if item.governing and item.strength is Strength.MUST]
    wishes = [bound(item) for item in demands if item.governing and item.strength is Strength.PREFER]
    wishes = [text for text in dict.fromkeys(wishes) if text not in musts]
    parts = [", ".join(dict.fromkeys(musts)), f"wished {', '.join(wishes)}" if wishes else ""]
    return "; ".join(part for part in parts if part)


def bound(requirement: Requirement) -> str:
    """Return what one demand asks, such as "at least 25 V"."""
    value, unit = requirement.value, requirement.unit
    values = value if isinstance(value, tuple) else (value,)
    up = requirement.relation is Relation.AT_LEAST
    texts = [text if isinstance(text, str) else _amount(text, unit, requirement.relation, up) for text in values]
    return _RELATIONS[requirement.relation] + " or ".join(texts)


def _amount(value: float, unit: str, relation: Relation, up: bool) -> str:
    if unit == "mm" and relation is not Relation.EXACTLY:
        return f"{plain(tenths(value, up=up), 4)} mm"
    if unit == "F":
        return farads(value)
    if unit == "V":
        return volts(value)
    if unit in ("ohm", "Ω", "A"):
        return si(value, unit.replace("ohm", "Ω"))
    return f"{plain(value)} {unit}".strip().replace("-", "−")


def reasons(demands: Sequence[Requirement]) -> list[str]:
    """Return why, one text a demand; demands that differ only in their result, as a window's ends do, share one."""
    alike: dict[tuple[object, ...], list[Requirement]] = {}
    for item in demands:
        reason = item.reason
        same = (item.governing, item.strength, reason.inputs, reason.operation, reason.rule, reason.source)
        alike.setdefault(same, []).append(item)
    texts = []
    for items in alike.values():
        mark = f"{'governs' if items[0].governing else 'also'}, {items[0].strength}"
        result = "; ".join(dict.fromkeys(item.reason.result for item in items))
        texts.append(f"{mark}: {replace(items[0].reason, result=result)}")
    return texts


def tenths(value: float, up: bool = False) -> float:
    """Return a length to a tenth of a millimetre, rounded to the safe side of its limit.

    >>> tenths(16.75), tenths(28.2), tenths(5.04, up=True)
    (16.7, 28.2, 5.1)
    """
    scaled = round(value * 10, 6)
    return (math.ceil(scaled) if up else math.floor(scaled)) / 10
