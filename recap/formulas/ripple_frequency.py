"""Ripple at other frequencies than the rating's, by the multipliers of the part's series or class."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from recap.formulas.life_ripple import equivalent_ripple, frequency_multiplier


@dataclass(frozen=True, slots=True)
class MultiplierSet:
    """The ripple multipliers of one series and voltage range; 1 at the frequency of its rating."""

    series: str
    style: str
    over_v: float
    up_to_v: float
    rating_hz: float
    class_default: bool
    source: str
    frequencies_hz: tuple[float, ...]
    multipliers: tuple[float, ...]

    def at(self, frequency_hz: float, rating_hz: float) -> float:
        """Return the multiplier at a frequency relative to a rating's frequency."""
        there = frequency_multiplier(frequency_hz, self.frequencies_hz, self.multipliers)
        return float(there / frequency_multiplier(rating_hz, self.frequencies_hz, self.multipliers))


def multiplier_sets(rows: Iterable[Mapping[str, str]]) -> tuple[MultiplierSet, ...]:
    """Gather the rows of the table ripple_multipliers into sets."""
    grouped: dict[tuple[str, ...], list[tuple[float, float]]] = {}
    points_of = ("frequency_hz", "multiplier")
    for row in rows:
        point = float(row["frequency_hz"]), float(row["multiplier"])
        head = tuple(text for column, text in row.items() if column not in points_of)
        grouped.setdefault(head, []).append(point)
    return tuple(
        MultiplierSet(
            series,
            style,
            float(over),
            float(up_to),
            float(rating),
            default == "yes",
            source,
            tuple(frequency for frequency, _ in points),
            tuple(multiplier for _, multiplier in points),
        )
        for (series, style, over, up_to, rating, default, source), points in grouped.items()
    )


def class_sets(
    sets: Sequence[MultiplierSet], style: str, rated_voltage_v: float | None, rating_hz: float
) -> tuple[MultiplierSet, ...]:
    """Return the sets that stand for a part whose own multipliers are not known.

    Ratings near mains frequency and near 100 kHz have sets apart; the nearer is taken. A style without a set
    of its own takes the radial ones. An unknown voltage leaves all sets, one above every set the highest.

    Source: our-judgement which series stands for a class; each set its own.
    Parameters:
        sets: from `multiplier_sets`.
        style: radial, axial, smd, snap-in or screw, or polymer for that family.
        rated_voltage_v [V]: None where it is not known.
        rating_hz [Hz]: frequency of the part's ripple rating.
    Raises: nothing.
    Range: 50 Hz to 1 MHz.

    >>> from recap.ruledata import table
    >>> sets = multiplier_sets(table("ripple_multipliers"))
    >>> [(each.series, each.up_to_v) for each in class_sets(sets, "axial", 25.0, 100.0)]
    [('021', 40.0)]
    """
    chosen = "snap-in" if style == "screw" else style
    defaults = [each for each in sets if each.class_default]
    nearest = min((each.rating_hz for each in defaults), key=lambda hz: abs(math.log(hz / rating_hz)))
    near = [each for each in defaults if each.rating_hz == nearest]
    of_style = {"polymer": defaults}.get(chosen, near)
    same_style = [each for each in of_style if each.style == chosen] or [
        e for e in near if e.style == "radial"
    ]
    if rated_voltage_v is None:
        return tuple(same_style)
    fitting = [each for each in same_style if each.over_v < rated_voltage_v <= each.up_to_v]
    return tuple(fitting or [max(same_style, key=lambda each: each.up_to_v)])


def ripple_at_rating(
    components: Sequence[tuple[float, float]], sets: Sequence[MultiplierSet], rating_hz: float
) -> float:
    """Return the ripple current at the rating's frequency that heats as much as several components.

    Where several sets might apply, the smallest multiplier of each frequency is taken: the cautious one.

    Source: technical-note-life eq. 4.6 for the sum; data/tables/ripple_multipliers.csv for the multipliers.
    Parameters:
        components: current [A] rms and frequency [Hz] of each.
        sets: at least one, from `class_sets`.
        rating_hz [Hz]: frequency of the part's ripple rating.
    Raises: ValueError without a set.
    Range: that of the sets; held beyond their ends.

    >>> from recap.ruledata import table
    >>> sets = class_sets(multiplier_sets(table("ripple_multipliers")), "radial", 50.0, 120.0)
    >>> round(ripple_at_rating([(1.0, 100e3)], sets, 100.0), 3)
    0.625
    """
    multipliers = [min(each.at(frequency, rating_hz) for each in sets) for _, frequency in components]
    return float(equivalent_ripple([current for current, _ in components], multipliers))
