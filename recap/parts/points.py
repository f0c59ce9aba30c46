"""What parts give of each quantity that a rule may demand: one function, for a single part and for a whole catalogue.

Figures at one frequency never stand in for another. Ripple ratings are converted, by the published multipliers of
the part's class, and marked as converted; ESR is not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recap.formulas import esr
from recap.formulas.life import factor_rule
from recap.formulas.life_estimate import LifeConditions, LifePart, LifeRange, estimate_life
from recap.model import Conditions, Kind, Mounting
from recap.parts import reference
from recap.parts.catalogue import Columns, Floats, Words
from recap.parts.place import PARALLEL, SERIES, SINGLE

Mask = NDArray[np.bool_]

POLARITIES = ("polar", "bipolar")
_BIPOLAR_KINDS = frozenset(
    kind.value for kind in (Kind.NON_POLAR_ALUMINIUM, Kind.FILM, Kind.CERAMIC, Kind.PAPER, Kind.METALLISED_PAPER)
)


@dataclass(frozen=True, slots=True)
class Provided:
    """What parts give of one quantity: numbers with NaN for unknown, or words."""

    values: Floats
    words: Words | None = None
    converted: Mask | None = None
    """Where a ripple rating comes from another frequency."""
    assumed: Mask | None = None
    """Where the figure is the one usual for the class, since the part does not state its own."""

    @property
    def unknown(self) -> Mask:
        """Where it is not known."""
        return np.isnan(self.values) if self.words is None else self.words.codes < 0


def provided(
    quantity: str,
    frequency_hz: float | None,
    parts: Columns,
    conditions: Conditions,
    arrangement: str = SINGLE,
) -> Provided:
    """Return what parts give of a quantity at a frequency under conditions, alone or two together.

    Raises KeyError for a quantity that no part is described by.
    """
    if quantity in _WORDS:
        words = _WORDS[quantity](parts)
        return Provided(np.empty(0), words)
    if quantity == "ripple_current_a":
        current, converted = ripple_current_a(parts, frequency_hz)
        return Provided(current * (2 if arrangement == PARALLEL else 1), converted=converted)
    if quantity == "esr_ohm":
        return Provided(_together(esr_ohm(parts, frequency_hz), arrangement, 0.5, 2.0))
    if quantity == "estimated_life_h":
        return Provided(estimated_life(parts, conditions, arrangement).nominal)
    if quantity == "endurance_h":
        return Provided(endurance_h(parts, conditions.endurance_temperature_c))
    if quantity == "height_with_vent_mm":
        return Provided(height_with_vent_mm(parts))
    if quantity == "lead_diameter_mm":
        return _lead_diameter(parts)
    values = parts.number(quantity) if quantity in _PLAIN else _missing(quantity)
    if quantity == "capacitance_f":
        return Provided(_together(values, arrangement, 2.0, 0.5))
    if quantity in ("rated_voltage_v", "ac_voltage_v"):
        return Provided(_together(values, arrangement, 1.0, 2.0))
    return Provided(values)


_PLAIN = frozenset(
    {
        "capacitance_f", "rated_voltage_v", "ac_voltage_v", "lower_category_temperature_c",
        "upper_category_temperature_c", "diameter_mm", "length_mm", "lead_spacing_mm",
        "leakage_a", "dissipation_factor",
    }
)  # fmt: skip


def _missing(quantity: str) -> Floats:
    raise KeyError(f"no part is described by {quantity}")


def _together(values: Floats, arrangement: str, parallel: float, series: float) -> Floats:
    scale = {PARALLEL: parallel, SERIES: series}.get(arrangement, 1.0)
    return values if scale == 1.0 else values * scale


def _polarity(parts: Columns) -> Words:
    """A part is bipolar where its column or its kind says so, and polar where its kind is known otherwise."""
    bipolar, kinds = parts.number("bipolar"), parts.word("kind")
    by_kind = kinds.mapped(lambda name: int(name in _BIPOLAR_KINDS), -1)
    codes = np.where(np.isnan(bipolar), by_kind, (bipolar > 0).astype(np.int64))
    return Words(codes.astype(np.int32), POLARITIES)


_WORDS: dict[str, Callable[[Columns], Words]] = {
    "kind": lambda parts: parts.word("kind"),
    "mounting": lambda parts: parts.word("mounting"),
    "safety_class": lambda parts: parts.word("safety_class"),
    "polarity": _polarity,
}


def height_with_vent_mm(parts: Columns) -> Floats:
    """Return the height with the free space that the part's own vent needs."""
    return parts.number("length_mm") + reference.vent_clearance_mm(parts.number("diameter_mm"))


def _lead_diameter(parts: Columns) -> Provided:
    """Return the lead diameter as stated, else the one that radial cans of this diameter usually have."""
    stated = parts.number("lead_diameter_mm")
    radial = parts.word("mounting").among((Mounting.RADIAL.value,))
    usual = np.where(radial, reference.usual_lead_diameter_mm(parts.number("diameter_mm")), np.nan)
    assumed = np.isnan(stated) & ~np.isnan(usual)
    return Provided(np.where(assumed, usual, stated), assumed=assumed)


def esr_ohm(parts: Columns, frequency_hz: float | None) -> Floats:
    """Return the ESR as stated at a frequency, at 100 and 120 Hz else from the loss; NaN where stated elsewhere."""
    found = np.full(len(parts), np.nan)
    if frequency_hz is None:
        return found
    if reference.low_frequency(frequency_hz):
        found = esr.esr_ohm(parts.number("dissipation_factor"), parts.number("capacitance_f"), frequency_hz)
    for end in ("low", "high"):
        values, stated_hz = parts.number(f"esr_{end}_ohm"), parts.number(f"esr_{end}_hz")
        found = np.where(reference.same_band(stated_hz, frequency_hz) & ~np.isnan(values), values, found)
    return found


def ripple_current_a(parts: Columns, frequency_hz: float | None) -> tuple[Floats, Mask]:
    """Return the ripple rating at a frequency, and where it was converted from another."""
    found, converted = np.full(len(parts), np.nan), np.zeros(len(parts), bool)
    if frequency_hz is None:
        return found, converted
    ends = [(parts.number(f"ripple_{end}_a"), parts.number(f"ripple_{end}_hz")) for end in ("low", "high")]
    distances = [np.where(np.isnan(values), np.inf, np.abs(np.log(hz / frequency_hz))) for values, hz in ends]
    distances = [np.where(np.isnan(each), np.inf, each) for each in distances]
    nearer = np.where(distances[0] <= distances[1], 0, 1)
    values, stated_hz = (np.where(nearer == 0, ends[0][each], ends[1][each]) for each in (0, 1))
    same = reference.same_frequency(stated_hz, frequency_hz) & ~np.isnan(values)
    other = ~same & ~np.isnan(values) & ~np.isnan(stated_hz)
    found = np.where(same, values, found)
    if other.any():
        found[other] = values[other] * _multipliers(parts, stated_hz, frequency_hz, other)
    return found, other & ~np.isnan(found)


def _multipliers(parts: Columns, stated_hz: Floats, frequency_hz: float, rows: Mask) -> Floats:
    """Return the multiplier of each of some rows, worked out once for each class of part."""
    kinds, mountings = parts.word("kind"), parts.word("mounting")
    volts = np.nan_to_num(parts.number("rated_voltage_v")[rows], nan=-1.0)
    keys = np.stack([kinds.codes[rows], mountings.codes[rows], volts, stated_hz[rows]], axis=1)
    distinct, places = np.unique(keys, axis=0, return_inverse=True)
    factors = [
        reference.ripple_multiplier(
            kinds.names[int(kind)] if kind >= 0 else "",
            mountings.names[int(mounting)] if mounting >= 0 else "",
            None if rated < 0 else float(rated),
            float(hz),
            frequency_hz,
        )
        for kind, mounting, rated, hz in distinct
    ]
    return np.array(factors)[places.reshape(-1)]


def endurance_temperature_c(parts: Columns) -> Floats:
    """Return the temperature of the endurance: as stated, else the upper category temperature, where makers test."""
    stated = parts.number("endurance_temperature_c")
    return np.where(np.isnan(stated), parts.number("upper_category_temperature_c"), stated)


def endurance_h(parts: Columns, temperature_c: float | None) -> Floats:
    """Return the endurance in terms of one temperature, by the nominal rule of the part's family."""
    hours, stated_c = parts.number("endurance_h"), endurance_temperature_c(parts)
    if temperature_c is None:
        return np.array(hours)
    found = np.full(len(parts), np.nan)
    for family, rows in _families(parts).items():
        if family is not None:
            line = reference.nominal_line(family)
            found[rows] = factor_rule(hours[rows], stated_c[rows], temperature_c, line.factor, line.degrees)
    return found


def _families(parts: Columns) -> dict[str | None, Mask]:
    """Return where each family of life models holds; None for kinds that do not dry out."""
    kinds = parts.word("kind")
    each = kinds.mapped(lambda name: reference.FAMILIES.get(name, ""), reference.FAMILIES[""])
    members = {(family or None): each == family for family in dict.fromkeys(each.tolist())}
    return {family: rows for family, rows in members.items() if rows.any()}


def estimated_life(parts: Columns, conditions: Conditions, arrangement: str = SINGLE) -> LifeRange:
    """Return the estimated life of parts in place, in hours; NaN where endurance or temperature is not known.

    Kinds that do not dry out get the ceiling of every estimate.
    """
    models = reference.models_of_life()
    low, nominal, high = (np.full(len(parts), np.nan) for _ in range(3))
    met = life_conditions(conditions, arrangement)
    for family, rows in _families(parts).items():
        if family is None:
            low[rows] = nominal[rows] = high[rows] = models.ceiling_h
    for rows, part in life_parts(parts, conditions):
        found = estimate_life(part, met, models, keep_models=False).estimated_life_h
        low[rows], nominal[rows], high[rows] = found.low, found.nominal, found.high
    return LifeRange(low, nominal, high)


def life_conditions(conditions: Conditions, arrangement: str = SINGLE) -> LifeConditions:
    """Return what each of one or two parts meets, as the life models take it."""
    ripple, working = conditions.ripple_current_a, conditions.working_voltage_v
    return LifeConditions(
        ambient_temperature_c=conditions.ambient_temperature_c,
        ripple_current_a=np.nan if ripple is None else ripple / (2 if arrangement == PARALLEL else 1),
        voltage_v=np.nan if working is None else working / (2 if arrangement == SERIES else 1),
    )


def life_parts(parts: Columns, conditions: Conditions) -> Iterator[tuple[Mask, LifePart]]:
    """Yield the parts of each family that dries out, as the life models take them, with where they stand."""
    hours, rated_c, volts = parts.number("endurance_h"), endurance_temperature_c(parts), parts.number("rated_voltage_v")
    ripple_rating, _ = ripple_current_a(parts, conditions.ripple_frequency_hz)
    basis = parts.word("endurance_basis").mapped(str, "")
    styles = parts.word("mounting").mapped(lambda name: reference.STYLES.get(name, "radial"), "radial")
    for family, rows in _families(parts).items():
        known = rows & ~np.isnan(hours) & ~np.isnan(rated_c)
        if family is None or not known.any():
            continue
        yield (
            known,
            LifePart(
                endurance_h=hours[known],
                rated_temperature_c=rated_c[known],
                rated_ripple_current_a=ripple_rating[known],
                rated_voltage_v=volts[known],
                family=family,
                style=styles[known],
                endurance_basis=np.where(np.isin(basis[known], _BASES), basis[known], _BASES[0]),
            ),
        )


_BASES = ("endurance", "useful-life", "dc-only")
