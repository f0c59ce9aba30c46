"""Capacitances with a unit, a prefix for a point, sections and alternatives."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.numerals import NUMBER, SPACED, Numeral, read_number
from recap.units import farads

PICO, NANO, MICRO, MILLI, ONE = (Decimal(f"1e{power}") for power in (-12, -9, -6, -3, 0))
LARGEST_F = 3000.0

# A unit may be followed by a tolerance letter, a class, a kind or a count, but by no other letter.
_END = r"(?![A-Za-z])|(?=[FGJKMZ](?![A-Za-z]))|(?=[xX] ?\d)|(?=[XY]\d)|(?=(?:NP|BP|MK[PTS])\b)"
_UNITS: tuple[tuple[str, Decimal, str], ...] = (
    (r"(?i:k ?uf)", MILLI, "thousands of µF"),
    (r"(?i:u ?uf(?:d|ds)?|mmf(?:d|ds)?\.?|m\.m\.f\.(?:d\.)?)", PICO, "micro-micro is pico"),
    (r"(?i:kpf)", NANO, "thousands of pF"),
    (r"(?i:p ?f(?:d|ds)?\.?|picofarads?)", PICO, "pF"),
    (r"(?i:n ?f(?:d|ds)?\.?|nanofarads?)", NANO, "nF"),
    (r"(?i:u ?f(?:d|ds|arads?)?\.?)", MICRO, "µF"),
    (r"(?i:m ?f ?ds?\.?|m\. ?f\. ?d?\.?|mfarads?)", MICRO, "mfd is µF"),
    (r"(?i:m[kc] ?fd?\.?)", MICRO, "a romanised spelling of µF"),
    (r"(?i:mi[ck]ro-?f(?:d|arads?)?\.?|mi[ck]ros?|mics?\.?)", MICRO, "µF"),
    (r"(?i:millifarads?)", MILLI, "millifarad"),
    (r"(?:MF|Mf|mf)\.?", MICRO, "MF and mf are µF in the trade's writing"),
    (r"(?i:farads?)", ONE, "farad"),
)
_DAMAGED = r"(?i:ukf|uko|mk[o0]|iif|jif|mk)|[?\ufffd]\s?[Ff]|\ufffd"
_UNIT = "|".join(pattern for pattern, _, _ in _UNITS)
_GAP = r"(?: ?- ?(?=[a-zA-Z])| )?"
UNIT = rf"(?:{_UNIT}|mF|{_DAMAGED}|[Ff](?!\w)|[unp])"

PLAIN = re.compile(rf"(?P<number>{SPACED}){_GAP}(?:(?P<unit>{_UNIT}|mF|[unpUNP])(?:{_END})\+?)")
EXPONENT = re.compile(rf"(?P<number>\d+(?:[.,]\d+)?[eE][+-]?\d{{1,2}}) ?(?P<unit>{_UNIT}|[Ff])(?![A-Za-z0-9])")
BARE_FARAD = re.compile(rf"(?P<number>{NUMBER}) ?(?P<unit>[Ff])(?![A-Za-z0-9])")
DAMAGED = re.compile(rf"(?P<number>{SPACED}) ?(?P<unit>{_DAMAGED})(?![A-Za-z])")
INFIX = re.compile(r"(?P<whole>\d{1,5})(?P<prefix>[unpUNP])(?P<part>\d{1,3})(?: ?[fF]d?)?(?![.,]?\d)")
MILLI_INFIX = re.compile(r"(?P<whole>\d{1,3})m(?P<part>\d{1,2})(?: ?[fF])?(?![A-Za-z0-9])")
LEADING = re.compile(r"(?<![A-Za-z0-9])(?P<prefix>[unp])(?P<part>\d{1,3})(?: ?[fF]d?)?(?![.,]?\d)")
UNIT_FIRST = re.compile(
    rf"(?P<unit>(?i:uf|mfds?|mkf|nf|pf|microfarads?))[ :=]? ?(?P<number>{SPACED})(?![\w.,]*\d)(?![A-Za-z])"
    rf"(?! ?(?:V(?! ?\d)|{_UNIT})(?![A-Za-z]))"
)
TOLERANCE_FOR_UNIT = re.compile(r"(?P<number>0?[.,]\d+)(?=[JKM] ?\d{2,4})")


def read_unit(unit: str) -> tuple[Decimal, str]:
    """Return the factor and note of a written unit; an exact mF and a bare F are handled apart."""
    single = {"u": (MICRO, "u is µF"), "n": (NANO, "n is nF"), "p": (PICO, "p is pF")}
    if unit.lower() in single:
        return single[unit.lower()]
    for pattern, factor, note in _UNITS:
        if re.fullmatch(pattern, unit):
            return factor, note
    return ONE, "farad"


def option(value: Decimal, because: str) -> Option:
    """Return one reading of a capacitance."""
    return Option({"capacitance_f": float(value)}, because)


def _item(match: re.Match[str], rule: str, options: Sequence[Option], doubt: str = "", **more: object) -> Item | None:
    usable = tuple(o for o in options if 0 < o.fields["capacitance_f"] <= LARGEST_F)
    if not usable:
        return Item("zero", match[0], rule=rule)
    confused = tuple(o.because for o in usable[1:])
    return Item("capacitance", match[0], usable, doubt, rule, value=more.get("unit"), confused_with=confused)


def values(numeral: Numeral, factor: Decimal) -> list[Decimal]:
    """Return the possible capacitances of a number with a factor."""
    return [number * factor for number in (numeral.value, numeral.other) if number is not None]


def plain(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a number with its unit."""
    numeral, unit = read_number(match["number"]), match["unit"]
    if numeral is None:
        return None
    if unit == "mF":
        return _milli_or_micro(match, numeral)
    if unit in "pPUN" and " " in match[0].strip():
        return None  # "5 p" may be five pieces
    factor, note = read_unit(unit)
    options = [
        option(value, f'"{match[0].strip()}" is {farads(float(value))} ({note})') for value in values(numeral, factor)
    ]
    doubt = "" if numeral.settled else "the comma, dot or space may be decimal or part thousands"
    if unit in "nN" and numeral.value >= 1000:
        slip = option(numeral.value * PICO, f"n may be a slip for p: {farads(float(numeral.value * PICO))}")
        options.append(slip)
        doubt = "thousands of nF are rarely written; nF is sometimes printed where pF was meant"
    return _item(match, "number and unit", options, doubt, unit=unit.lower())


def _milli_or_micro(match: re.Match[str], numeral: Numeral) -> Item | None:
    milli = option(numeral.value * MILLI, f"mF taken literally: {farads(float(numeral.value * MILLI))}")
    micro = option(numeral.value * MICRO, f"mF as old writing for µF: {farads(float(numeral.value * MICRO))}")
    options = [micro, milli] if numeral.value >= 100 or numeral.value < 1 else [milli, micro]
    return _item(match, "mF", options, "mF may mean millifarad or, in old writing, µF", unit="mF")


def exponent(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a number with a power of ten and a unit."""
    factor, note = read_unit(match["unit"])
    value = Decimal(match["number"].replace(",", ".")) * factor
    return _item(match, "power of ten", [option(value, f"{match[0]} is {farads(float(value))} ({note})")])


def bare_farad(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a plain F, which is seldom a farad."""
    numeral = read_number(match["number"])
    if numeral is None:
        return None
    if numeral.value < Decimal("0.001"):
        why = f"{numeral.value:f} F is {farads(float(numeral.value))}"
        return _item(match, "number and unit", [option(numeral.value, why)], unit="f")
    micro = option(numeral.value * MICRO, f"the prefix of F was lost: {farads(float(numeral.value * MICRO))}")
    farad = option(numeral.value, f"{numeral.value} F, a double-layer part")
    options = [micro, farad] if match["unit"] == "f" or numeral.value > 5 else [farad, micro]
    return _item(match, "bare F", options, "a bare F is a farad or a lost prefix", unit="F")


def damaged(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a micro sign that a scanner or a wrong character table spoilt."""
    numeral = read_number(match["number"])
    if numeral is None:
        return None
    value = numeral.value * MICRO
    why = f'"{match["unit"]}" is a damaged µF: {farads(float(value))}'
    return _item(match, "damaged unit", [option(value, why)], "the unit is damaged; µF is likely", unit="uf")


def infix(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a prefix that stands where the decimal point would."""
    if re.match(r" ?[VvWw]", match.string[match.end() :]) or match["whole"].startswith("00"):
        return None
    factor, _ = read_unit(match["prefix"])
    value = Decimal(f"{match['whole']}.{match['part']}") * factor
    why = f'the prefix stands for the point: "{match[0]}" is {farads(float(value))}'
    if len(match["part"]) >= 2 and len(match["whole"]) >= 2:
        return None  # 47u25 is rather 47 µF and 25 V
    return _item(match, "prefix as decimal point", [option(value, why)], unit=match["prefix"])


def milli_infix(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 2m2, where the code's m is milli but a writer may have meant micro."""
    number = Decimal(f"{match['whole']}.{match['part']}")
    options = [
        option(number * MILLI, f"m stands for milli and the point: {farads(float(number * MILLI))}"),
        option(number * MICRO, f"m may have been meant as micro: {farads(float(number * MICRO))}"),
    ]
    return _item(match, "prefix as decimal point", options, "m is milli in the code, micro in old writing", unit="m")


def leading(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a prefix in front: µ47 is 0.47 µF."""
    factor, _ = read_unit(match["prefix"])
    value = Decimal(f"0.{match['part']}") * factor
    why = f'the prefix stands for the point: "{match[0]}" is {farads(float(value))}'
    doubt = "p in front may also mean pitch" if match["prefix"] == "p" else ""
    return _item(match, "prefix as decimal point", [option(value, why)], doubt, unit=match["prefix"])


def letter_for_unit(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read .47K275: on film parts a tolerance letter stands where the unit is left out."""
    numeral = read_number(match["number"], decimals_only=True)
    if numeral is None:
        return None
    value = numeral.value * MICRO
    why = f'"{match[0]}" before a tolerance letter and volts is {farads(float(value))}, µF understood'
    return _item(match, "unit left out", [option(value, why)], unit="uf")


def unit_first(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read µF 47, where no number stands before the unit."""
    if items:
        return None
    return plain(match, items)


CLAUSES = (
    (EXPONENT, exponent),
    (INFIX, infix),
    (PLAIN, plain),
    (DAMAGED, damaged),
    (BARE_FARAD, bare_farad),
    (MILLI_INFIX, milli_infix),
    (LEADING, leading),
    (UNIT_FIRST, unit_first),
    (TOLERANCE_FOR_UNIT, letter_for_unit),
)
