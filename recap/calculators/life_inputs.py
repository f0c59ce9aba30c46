"""Reading what `recap calc life` is told about ripple and duty."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from recap.calculators.inputs import above_zero, of_any_sign
from recap.formulas.life_ripple import equivalent_ripple
from recap.formulas.ripple_frequency import MultiplierSet, class_sets, multiplier_sets, ripple_at_rating
from recap.problem_codes import report
from recap.problems import Problem
from recap.ruledata import table
from recap.units import NotAQuantity, plain, quoted, si


@dataclass(frozen=True, slots=True)
class Component:
    """A current, or a multiplier, with the frequency it belongs to; None where none was written."""

    amount: float
    frequency_hz: float | None


def ripple_current(text: str) -> Component:
    """Read a ripple current such as "0.6A@100kHz"; none at all is "0A".

    >>> ripple_current("600mA@120Hz")
    Component(amount=0.6, frequency_hz=120.0)
    """
    amount, frequency_hz = _at_frequency(text)
    none_at_all = of_any_sign(amount, "ampere", "ripple current") == 0
    return Component(0.0 if none_at_all else above_zero(amount, "ampere", "ripple current"), frequency_hz)


def rated_ripple_current(text: str) -> Component:
    """Read a rated ripple current such as "1.2A@120Hz"."""
    amount, frequency_hz = _at_frequency(text)
    return Component(above_zero(amount, "ampere", "rated ripple current"), frequency_hz)


def ripple_multiplier(text: str) -> Component:
    """Read a ripple multiplier of the part such as "1.4@10kHz"."""
    amount, frequency_hz = _at_frequency(text)
    if frequency_hz is None:
        raise NotAQuantity(f'"{quoted(text)}" lacks its frequency; write it such as 1.4@10kHz')
    return Component(above_zero(amount, "dimensionless", "multiplier"), frequency_hz)


def _at_frequency(text: str) -> tuple[str, float | None]:
    amount, at, frequency = text.partition("@")
    return amount, above_zero(frequency, "hertz", "frequency") if at else None


def duty_stages(text: str) -> list[tuple[float, float]]:
    """Read a duty such as "8h@45C,8h@55C" as hours and ambient temperatures.

    >>> duty_stages("8h@45C, 16h@55,5C")
    [(8.0, 45.0), (16.0, 55.5)]
    """
    stages = []
    for piece in re.split(r"[;,]\s*(?=[^,;@]*@)", text.strip()):
        hours, at, temperature = piece.partition("@")
        if not at:
            raise NotAQuantity(f'"{quoted(piece)}" is no stage of a duty; write stages as 8h@45C,8h@55C')
        stages.append((above_zero(hours, "hour", "duty"), of_any_sign(temperature, "degC", "temperature of a stage")))
    return stages


@cache
def _sets() -> tuple[MultiplierSet, ...]:
    return multiplier_sets(table("ripple_multipliers"))


def ripple_in_rating_terms(
    components: Sequence[Component],
    rating: Component,
    own: Sequence[Component],
    style: str,
    rated_voltage_v: float | None,
) -> tuple[float, str, tuple[Problem, ...]]:
    """Return the ripple at the rating's frequency, how it was found, and what had to be assumed."""
    written = {each.frequency_hz for each in (rating, *components)}
    frequencies = written - {None}
    if len(frequencies) <= 1:
        total = float(equivalent_ripple([each.amount for each in components], [1.0] * len(components)))
        half_written = () if len(written) == 1 else (_taken_as_same(rating),)
        return total, "all at the frequency of the rating", half_written
    if rating.frequency_hz is None:
        raise NotAQuantity(
            "the rated ripple lacks its frequency, so currents of several frequencies cannot be held against it; "
            "write it as 1.2A@120Hz"
        )
    rating_hz = rating.frequency_hz
    pairs = [(each.amount, each.frequency_hz or rating_hz) for each in components]
    if own:
        sets: tuple[MultiplierSet, ...] = (_own_set(own, rating_hz),)
    else:
        sets = class_sets(_sets(), style, rated_voltage_v, rating_hz)
    names = ", ".join(dict.fromkeys(each.series for each in sets))
    note = f"through the multipliers of {names if own else f'the class (series {names})'}, rms-summed"
    doubts = _doubts(pairs, sets, rated_voltage_v, bool(own))
    if None in written:
        doubts.append(_taken_as_same(rating))
    return ripple_at_rating(pairs, sets, rating_hz), note, tuple(doubts)


def _taken_as_same(rating: Component) -> Problem:
    which = "the rated ripple" if rating.frequency_hz is None else "a ripple"
    return report(
        "ripple-frequency-missing",
        f"{which} lacks its frequency and was taken at the other's",
        hint="write it as 1.2A@120Hz: ratings at 120 Hz and at 100 kHz differ by up to 2.9 times",
    )


def _own_set(own: Sequence[Component], rating_hz: float) -> MultiplierSet:
    points = sorted({rating_hz: 1.0, **{each.frequency_hz or rating_hz: each.amount for each in own}}.items())
    frequencies, multipliers = zip(*points, strict=True)
    return MultiplierSet("the part itself", "", 0.0, 0.0, rating_hz, False, "", frequencies, multipliers)


def _doubts(
    pairs: Sequence[tuple[float, float]],
    sets: Sequence[MultiplierSet],
    rated_voltage_v: float | None,
    own: bool,
) -> list[Problem]:
    doubts = []
    lowest = max(each.frequencies_hz[0] for each in sets)
    if min(frequency for _, frequency in pairs) < lowest:
        doubts.append(
            report(
                "multiplier-held",
                f"no multiplier is known below {si(lowest, 'Hz')}; the one there was kept",
            )
        )
    if rated_voltage_v is None and not own:
        doubts.append(
            report(
                "multiplier-class-wide",
                "the rated voltage is not given, so the least multiplier over all voltages was taken",
                hint="give --rated-voltage, or the part's own with --multiplier",
            )
        )
    elif rated_voltage_v is not None and not own and rated_voltage_v > max(each.up_to_v for each in sets):
        doubts.append(
            report(
                "multiplier-class-borrowed",
                f"no series of this class reaches {plain(rated_voltage_v)} V; the highest one stands in",
            )
        )
    return doubts
