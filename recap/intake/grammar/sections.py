"""Several capacitances in one clause: sections of one can, alternatives, ranges, one value written twice."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

from recap.intake.grammar.capacitance import MICRO, PICO, UNIT, option, read_unit
from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.numerals import NUMBER, read_number
from recap.units import farads

_END = r"(?![A-Za-z])"
_SEPARATOR = r" ?(?:\+|/|=|-(?![A-Za-z])|\.\.+|~|&|±) ?| ?-?(?:or|to|and|oder|bis|und|et|ou|thru|through)-? "
SEVERAL = re.compile(
    rf"{NUMBER} ?(?:{UNIT}{_END})?(?:(?:{_SEPARATOR}){NUMBER} ?(?:{UNIT}{_END})?)*"
    rf"(?:{_SEPARATOR}){NUMBER} ?-?(?:{UNIT}{_END})"
)
BARE_SUM = re.compile(rf"{NUMBER}(?: ?\+ ?{NUMBER})+(?![\w%°]|[.,]\d| ?%)")
BARE_LIST = re.compile(rf"{NUMBER}(?:(?: ?/ ?{NUMBER}){{2,}}|(?:-{NUMBER}){{2,}})(?= ?[@,]? ?\d{{2,3}} ?[Vv])")
_PART = re.compile(rf"(?P<number>{NUMBER}) ?-?(?P<unit>{UNIT}{_END})?")


def _factor(unit: str) -> Decimal:
    if unit == "mF" or unit in "Ff" or not re.fullmatch(r"[A-Za-z. ]+", unit):
        return MICRO
    return read_unit(unit)[0]


def _sections(found: Sequence[Decimal]) -> Option:
    listed = " + ".join(farads(float(value)) for value in found)
    return Option({"sections_f": tuple(float(value) for value in found)}, f"sections of one can: {listed}")


def _alternatives(found: Sequence[Decimal]) -> tuple[Option, ...]:
    return tuple(option(value, f"{farads(float(value))}, one of the alternatives") for value in found[:3])


def _range(found: Sequence[Decimal]) -> Option:
    listed = " to ".join(farads(float(value)) for value in (found[0], found[-1]))
    return Option({}, f"a range, {listed}: no single value")


def _several_values(found: Sequence[Decimal]) -> Option:
    listed = " and ".join(farads(float(value)) for value in found)
    return Option({}, f"{listed}: no single value")


def several(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 20/20/20 µF, 8+8 mfd, 33 or 47 µF, 2100 to 4500 µF, 1000 pF/1 nF."""
    parts = list(_PART.finditer(match[0]))
    units = [part["unit"] for part in parts]
    if any("=" in match[0][one.end() : two.start()] for one, two in pairwise(parts)) and not all(units):
        return None  # 104 = 100nF
    shared = _factor(units[-1] or "")
    found, settled = [], True
    for part in parts:
        numeral = read_number(part["number"])
        if numeral is None or numeral.value == 0:
            return None
        settled = settled and numeral.settled and part["unit"] != "mF"
        found.append(numeral.value * (_factor(part["unit"]) if part["unit"] else shared))
    between = {match[0][one.end() : two.start()].strip(" -").lower() or "-" for one, two in pairwise(parts)}
    options, doubt = _judge(found, units, between)
    if not settled:
        doubt = doubt or "a number or unit in it can be read in two ways"
    kind = "capacitance" if "capacitance_f" in options[0].fields else "capacitances"
    return Item(kind, match[0], options, doubt, "several capacitances", value="several")


def _judge(found: list[Decimal], units: list[str | None], between: set[str]) -> tuple[tuple[Option, ...], str]:
    """Return the options and the doubt for values, their own units and what stands between them."""
    equal = len(set(found)) == 1
    if equal and all(units) and len(set(units)) > 1:
        return (option(found[0], f"{farads(float(found[0]))}, written twice"),), ""
    if between == {"+"} or between == {"&"}:
        return (_sections(found),), ""
    if between == {"/"}:
        if len(found) > 2 or equal:
            return (_sections(found),), ""
        return (_sections(found), *_alternatives(found)), "two values may be two sections or alternatives"
    if between == {"-"}:
        if len(found) > 2 or equal:
            return (_sections(found),), ""
        doubt = "two values joined by a hyphen may be a range, or two sections"
        return (_range(found), _sections(found)), doubt
    if between <= {"or", "oder", "ou"}:
        return _alternatives(found), "alternatives: one of them has to be chosen"
    if between <= {"and", "und", "et"}:
        return (_several_values(found), _sections(found)), "two parts, two sections or a range"
    if between == {"="}:
        return _alternatives(found), "two values that differ"
    return (_range(found),), "a range, no single value"


def bare_sum(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 100+100: sections with µF understood."""
    numerals = [read_number(text) for text in re.findall(NUMBER, match[0])]
    if any(numeral is None or numeral.value == 0 or not numeral.settled for numeral in numerals):
        return None
    found = [numeral.value * MICRO for numeral in numerals if numeral]
    volts_follow = re.match(r" ?[/,@-]? ?\d{2,3}(?: ?V)?(?!\d)", match.string[match.end() :], re.IGNORECASE)
    clear = len(set(found)) == 1 or len(found) > 2 or volts_follow
    doubt = "" if clear else "two sections in µF are likely; unequal pairs are usual on AC motor parts"
    smaller = Option({"sections_f": tuple(float(value / MICRO * PICO) for value in found)}, "pF understood")
    options = (_sections(found),) if clear else (_sections(found), smaller)
    return Item("capacitances", match[0], options, doubt, "sections without unit", value="several")


def bare_list(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 30/30/20 before volts: likely sections with µF understood."""
    item = bare_sum(match, items)
    return item and replace(item, doubt="three or more numbers before volts are likely sections in µF")


CLAUSES = ((SEVERAL, several), (BARE_LIST, bare_list), (BARE_SUM, bare_sum))
