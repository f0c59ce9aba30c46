"""Where a series lamp limiter and the load behind it settle."""

from __future__ import annotations

import re
from typing import Any

from recap.bench.constants import constant
from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero
from recap.formulas.lamp import (
    FilamentLamp,
    OperatingPoint,
    lamp_current_a,
    with_constant_power_load,
    with_resistive_load,
)
from recap.problems import Problem
from recap.units import NotAQuantity, plain, quoted, si, volts

LOAD_KINDS = ("resistive", "constant-power")
CAUTIONS = (
    "Filament (incandescent or mains halogen) lamps only: an LED or compact fluorescent lamp limits nothing.",
    "The lamp limits current. It gives no isolation and no protection from shock; all behind it is at mains.",
    "A switching supply behind a lamp: a brief fault check only, no dwelling. At low line it draws more current, "
    "retries, or sits in its unstable range.",
    "Full brightness means a short or a load far above the lamp. Mains work follows local codes and belongs to "
    "those licensed for it.",
)
_RATING = re.compile(r"\s*(\S+?)\s*[wW]\b[\s,/@-]*(\S+?)\s*[vV]\s*$|\s*(\S+?)\s*[vV]\b[\s,/@-]*(\S+?)\s*[wW]\s*$")


def lamp(lamp: str, mains: str, load: str, load_kind: str = "resistive") -> Answer:
    """Return every operating point of a load behind a series lamp."""
    filament = read_lamp(lamp)
    mains_v = above_zero(mains, "volt", "mains voltage")
    load_w = above_zero(load, "watt", "load")
    fault_a = float(lamp_current_a(filament, mains_v))
    lines = [
        f"Lamp {plain(filament.rated_power_w)} W {volts(filament.rated_voltage_v)}: "
        f"I = {si(filament.rated_current_a, 'A')}·(V/{plain(filament.rated_voltage_v)} V)^"
        f"{plain(filament.current_exponent)}; into a short {si(fault_a, 'A')} at full brightness."
    ]
    result: dict[str, Any]
    if load_kind == "resistive":
        found = with_resistive_load(filament, mains_v, load_w)
        result = _fields(found, mains_v)
        lines.append(_line(found, mains_v))
    else:
        points = with_constant_power_load(filament, mains_v, load_w)
        result = {"solutions": [{**_fields(each, mains_v), "stable": each.stable} for each in points]}
        lines += [f"{_line(each, mains_v)} {'Stable.' if each.stable else 'Unstable.'}" for each in points]
        if not points:
            lines.append("No operating point: the load needs more power than the lamp lets through, and collapses.")
    low, high = constant("lamp_to_load_low"), constant("lamp_to_load_high")
    lines.append(
        f"A lamp of {plain(low)} to {plain(high)} times the load suits: "
        f"{plain(low * load_w)} to {plain(high * load_w)} W."
    )
    sources = ("lamp-rerating", "french-installation-guide", "common-practice")
    return Answer(result, tuple(lines), sources, CAUTIONS, _problems(filament, mains_v))


def read_lamp(text: str) -> FilamentLamp:
    """Return the lamp from its rating in either order; raises NotAQuantity.

    >>> read_lamp("60W 230V").rated_power_w, read_lamp("120 V / 100 W").rated_voltage_v
    (60.0, 120.0)
    """
    match = _RATING.match(text)
    if not match:
        raise NotAQuantity(f'"{quoted(text)}" is no lamp rating; write power and voltage, such as "60W 230V"')
    power, voltage = (match[1], match[2]) if match[1] else (match[4], match[3])
    return FilamentLamp(
        above_zero(power, "watt", "lamp power"),
        above_zero(voltage, "volt", "lamp voltage"),
        constant("lamp_current_exponent"),
        constant("lamp_cold_ratio_high"),
    )


def _fields(point: OperatingPoint, mains_v: float) -> dict[str, float]:
    return {
        "load_voltage_v": point.load_voltage_v,
        "load_power_w": point.load_power_w,
        "current_a": point.current_a,
        "lamp_voltage_v": mains_v - point.load_voltage_v,
    }


def _line(point: OperatingPoint, mains_v: float) -> str:
    return (
        f"The load gets {volts(point.load_voltage_v)} ({plain(100 * point.load_voltage_v / mains_v)} % of the mains), "
        f"{si(point.load_power_w, 'W')}, {si(point.current_a, 'A')}."
    )


def _problems(filament: FilamentLamp, mains_v: float) -> tuple[Problem, ...]:
    if filament.rated_voltage_v >= mains_v * 0.9:
        return ()
    message = f"a {volts(filament.rated_voltage_v)} lamp bursts on {volts(mains_v)} when the load is a short"
    return (Problem("lamp-below-mains", message, hint="use a lamp for the mains voltage, or two alike in series"),)
