"""Reading a calculator's options: quantities with their unit, above zero, and never guessed."""

from __future__ import annotations

import re

from recap.intake.notation import read_marking
from recap.units import NotAQuantity, farads, on_a_bench, quantity, quoted

_WHOLE_FARADS = re.compile(r"\s*[\d.,]+\s*(F|farads?)\s*$")


def capacitance_f(text: str) -> float:
    """Return a capacitance in F from text as the trade writes it; whatever may be read in two ways is refused.

    Plain farads are taken at their word, as a typed option is no worn marking.

    >>> capacitance_f("47 mfd"), capacitance_f("4u7"), capacitance_f("1F")
    (4.7e-05, 4.7e-06, 1.0)
    """
    if _WHOLE_FARADS.match(text):
        return above_zero(text, "farad", "capacitance")
    marking = read_marking(text, expect="capacitance")
    best = marking.best
    if marking.refused or best is None:
        raise NotAQuantity(f'"{quoted(text)}" is no capacitance: {marking.refused or "nothing to read"}')
    if best.capacitance_f is None or best.ac:
        raise NotAQuantity(f'"{quoted(text)}" is no single DC capacitance; write it as 47uF')
    if not marking.certain:
        readings = " or ".join(farads(each.capacitance_f) for each in marking.readings if each.capacitance_f)
        doubt = quoted(f"perhaps {readings}: {best.because}", 200)
        raise NotAQuantity(f'"{quoted(text)}" is not certain, {doubt}; write it with its unit')
    return on_a_bench(best.capacitance_f, "farad", text)


def of_any_sign(text: str, unit: str, what: str) -> float:
    """Return a quantity in `unit`; raises NotAQuantity, which tells what was meant, when it is none."""
    try:
        return quantity(text, unit)
    except NotAQuantity as error:
        raise NotAQuantity(f"{what}: {error}") from None


def above_zero(text: str, unit: str, what: str) -> float:
    """Return a quantity in `unit`; raises NotAQuantity when it is none or not above zero.

    >>> above_zero("2.2k", "ohm", "resistor")
    2200.0
    """
    value = of_any_sign(text, unit, what)
    if value <= 0:
        raise NotAQuantity(f'"{quoted(text)}" is no {what}: it must be above zero')
    return value
